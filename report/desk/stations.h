// `<ledger>.stations`: which browsers and programs may record at this desk. Of each a label and the hash of its token;
// the token itself is kept by the browser (a cookie) or the program. New ones come by a code of eight characters that
// holds once and for a quarter of an hour. docs/desk.md, "Stations". From any thread; the file may be changed by
// another program meanwhile, and is read again when it was.
#pragma once

#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/clock.h"
#include "ledger/base/result.h"

namespace trayproof::desk {

struct Station {
  std::string label;
  std::string token_hash;  // hex
  Instant since;
};

class Stations {
 public:
  Stations(std::string path, Clock& clock);

  Result<std::vector<Station>> all();
  // A code to be typed at a browser that becomes a station of that label.
  Result<std::string> make_code(const std::string& label);
  // The token for whoever typed the code; missing when there is no such code or its time is over.
  Result<std::string> redeem(std::string_view code);
  // A token for a program.
  Result<std::string> add(const std::string& label);
  // Missing when there is none of that label.
  Result<void> remove(const std::string& label);
  // The label of the station whose token it is.
  std::optional<std::string> label_of(std::string_view token);

 private:
  struct Code {
    std::string label;
    std::string code_hash;
    Instant until;
  };
  struct File {
    std::vector<Station> stations;
    std::vector<Code> codes;
  };
  Result<File> read() const;
  Result<void> write(const File& file) const;
  Result<void> refresh();
  template <typename Edit>
  Result<void> change(Edit edit);

  std::string path_;
  Clock& clock_;
  std::mutex mutex_;
  File known_;
  std::int64_t known_size_ = -1;
  std::int64_t known_ns_ = -1;
  std::uint64_t known_inode_ = 0;
  double looked_ = -1;
};

// Where the stations of a ledger stand.
std::string stations_path(const std::string& ledger_path);

}  // namespace trayproof::desk
