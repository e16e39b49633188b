#include "report/register/replica.h"

#include <stdlib.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "ledger/events/kinds.h"
#include "ledger/words/words.h"

namespace trayproof::registry {

struct Replica::Folder {
  explicit Folder(std::string path) : path_(std::move(path)) {}
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;  // what cannot be removed is the machine's to clean up
    std::filesystem::remove_all(path_, ignored);
  }
  std::string file() const { return path_ + "/replica"; }

 private:
  std::string path_;
};

Replica::Replica(std::unique_ptr<Folder> folder) : folder_(std::move(folder)) {}
Replica::Replica(Replica&& other) noexcept = default;
Replica::~Replica() = default;

Result<Replica> Replica::make(Past& past, const Line& line, Clock& clock) {
  std::error_code failed;
  std::string pattern = (std::filesystem::temp_directory_path(failed) / "trayproof-replica-XXXXXX").string();
  if (failed || ::mkdtemp(pattern.data()) == nullptr)
    return Error(ErrorCode::unavailable, say("district.no-room", {{"path", pattern}, {"why", std::strerror(errno)}}));
  Replica made(std::make_unique<Folder>(pattern));
  {
    TRY_LET(auto file, store::LedgerFile::create(made.folder_->file()));
    // It is made again when it is lost: nothing waits for the disk.
    TRY(file.database().run("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF;"));
    TRY_LET(auto transaction, file.begin());
    const auto put = [&](std::int64_t seq, std::string_view entry, const Digest& hash,
                         const Bytes& sig) -> Result<void> {
      TRY(file.insert({.seq = seq, .bytes = entry, .hash = hash, .sig = sig}, {}));
      TRY_LET(const auto event, json::parse(entry));
      const auto kind = event.text_at("kind").value_or("");
      if (events::is_landmark(kind)) TRY(file.put_landmark(kind, seq));
      return {};
    };
    TRY(past.scan(line, put));
    TRY(transaction.commit());
  }
  TRY_LET(auto ledger, Ledger::open_with(made.folder_->file(), std::nullopt, clock, store::Access::read));
  made.ledger_ = std::make_unique<Ledger>(std::move(ledger));
  return made;
}

}  // namespace trayproof::registry
