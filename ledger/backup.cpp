#include "ledger/backup.h"

#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/random.h"
#include "ledger/store/copy.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

// The copy while it has no name yet.
class Nameless {
 public:
  explicit Nameless(const std::string& file) : path_(file + ".new-" + hex(crypto::random_bytes<4>())) {}
  Nameless(const Nameless&) = delete;
  Nameless& operator=(const Nameless&) = delete;
  ~Nameless() { ::unlink(path_.c_str()); }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

// Whether what stands under the name is a state that this record went through.
Result<bool> is_older_copy(Ledger& ledger, const std::string& file) {
  const auto older = Ledger::open_with(file, std::nullopt, ledger.clock(), store::Access::read);
  if (!older.ok() || older.value().ledger_id() != ledger.ledger_id()) return false;
  const auto then = older.value().tree_head();
  if (!then.ok()) return false;
  TRY_LET(const auto now, ledger.head());
  const auto size = static_cast<std::int64_t>(then.value().size);
  if (size > now.seq) return false;
  TRY_LET(const auto same, ledger.tree_head(size));
  return same.root == then.value().root;
}

Result<Verification> check(Ledger& ledger, const std::string& copy) {
  const people::KeyFile* keys = ledger.keys();
  TRY_LET(auto opened, Ledger::open_with(copy, keys == nullptr ? std::nullopt : std::optional(*keys), ledger.clock(),
                                         store::Access::read));
  TRY_LET(auto found, verify(opened, Depth::full));
  if (found.problems.empty()) return found;
  const Problem& first = found.problems.front();
  const std::string seq = first.seq ? "seq " + std::to_string(*first.seq) + ": " : std::string();
  return Error(ErrorCode::corrupt, say("backup.does-not-hold", {{"found", seq + first.what}}));
}

// A text of the envelope's length; the end of a path tells more than its beginning.
std::string place_of(const std::string& file) {
  std::error_code ignored;  // then as it was given
  const auto whole = std::filesystem::absolute(file, ignored);
  std::string place = ignored ? file : whole.lexically_normal().string();
  while (code_points(place) > limits::text_code_points) {
    std::size_t next = 1;
    while (next < place.size() && (static_cast<unsigned char>(place[next]) & 0xC0) == 0x80) ++next;
    place.erase(0, next);
  }
  return place;
}

}  // namespace

Result<BackupMade> make_backup(Ledger& ledger, const std::string& file, const std::string& at) {
  const bool there = file_exists(file);
  if (there) {
    if (same_file(file, ledger.path())) return Error(ErrorCode::invalid, say("backup.itself", {{"file", file}}));
    TRY_LET(const bool older, is_older_copy(ledger, file));
    if (!older) return Error(ErrorCode::invalid, say("backup.in-the-way", {{"file", file}}));
  }
  const Nameless copy(file);
  TRY(store::copy_online(ledger.file().database(), copy.path()));
  TRY_LET(const auto found, check(ledger, copy.path()));
  BackupMade made{.size = found.events, .root = found.root, .bytes = 0, .seq = 0};
  struct stat info {};
  if (::stat(copy.path().c_str(), &info) == 0) made.bytes = info.st_size;
  if (there) {
    TRY(rename_over(copy.path(), file));
  } else {
    TRY(rename_new(copy.path(), file));
  }
  if (!ledger.writable()) return made;
  Value event = Value::object();
  event.set("kind", "backup-made").set("at", at).set("by", ledger.station());
  event.set("size", made.size).set("root", hex(made.root)).set("where", place_of(file));
  AppendOptions append;
  append.giver = events::Giver::program;
  append.same_content_repeats = false;
  const auto unrecorded = [&](const std::string& why) {
    return say("backup.unrecorded", {{"file", file}, {"why", why}});
  };
  const auto done = ledger.append({{0, std::move(event)}}, append);
  if (!done.ok()) return Error(done.error().code(), unrecorded(done.error().sentence()));
  if (!done.value().refusals.empty()) {
    return Error(ErrorCode::invalid, unrecorded(done.value().refusals.front().why));
  }
  made.seq = done.value().last;
  return made;
}

}  // namespace trayproof
