// Reading a zip that a stranger made. Nothing of it is ever written to disk, and nothing is believed: names, counts,
// sizes and methods are held against limits (ledger/base/limits.h) before a byte is inflated, and again while it is.
//
// Refused as a whole (invalid): what is no zip or is cut short; more members, or more bytes, than a pack has; two
// members of one name; a name that no such file has, which leaves no room for folders, "..", or control characters;
// members that are encrypted or compressed otherwise than by deflate.
#pragma once

#include <functional>
#include <future>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

struct zip;
struct zip_file;

namespace trayproof::evidence {

// One member, read from its beginning to its end. Reading it whole checks its CRC.
class MemberReader {
 public:
  // Corrupt when the member does not inflate, or holds other than it declares. An empty view is the end.
  Result<ByteView> chunk();
  // From now on the next piece inflates on a thread of its own while the last one is looked at. Until this reader is gone
  // nothing else of the archive may be read.
  void read_ahead() { ahead_ = true; }
  // A line without its line end; nothing at the end. Invalid: longer than `bytes_max`, or the last has no end.
  Result<std::optional<std::string_view>> line(std::size_t bytes_max);

 private:
  friend class Archive;
  struct Closer {
    void operator()(zip_file* file) const;
  };
  struct Piece {
    Bytes bytes;
    std::int64_t got = 0;  // of them; below 0: the member is broken
  };
  MemberReader(zip_file* file, std::uint64_t bytes) : file_(file), left_(bytes) {}
  static Piece inflate(zip_file* file, Bytes into, std::size_t bytes_max);
  std::unique_ptr<zip_file, Closer> file_;
  bool ahead_ = false;
  std::future<Piece> next_;  // ends before the file is closed
  std::uint64_t left_;  // of what is declared
  Bytes buffer_;
  std::string pending_;  // of lines: read and not yet given
  std::size_t given_ = 0;
  bool ended_ = false;
};

// What sort of zip is expected: which members it may have, and the texts that refuse another.
struct ArchiveSort {
  bool (*is_member)(std::string_view name);
  std::string_view refused;  // {why}
  std::string_view foreign;  // {name}
};
extern const ArchiveSort pack_archive;

class Archive {
 public:
  static Result<Archive> open(const std::string& path, const ArchiveSort& sort = pack_archive);

  // In order of their bytes.
  const std::vector<std::string>& names() const { return names_; }
  bool has(std::string_view name) const;
  Result<MemberReader> reader(std::string_view name) const;
  // Invalid when the member is longer than `bytes_max`; missing when it is not there.
  Result<std::string> text(std::string_view name, std::size_t bytes_max) const;

 private:
  struct Closer {
    void operator()(zip* archive) const;
  };
  explicit Archive(zip* archive) : archive_(archive) {}
  Result<void> look_at_members(std::uint64_t file_bytes, const ArchiveSort& sort);
  std::unique_ptr<zip, Closer> archive_;
  std::vector<std::string> names_;
};

}  // namespace trayproof::evidence
