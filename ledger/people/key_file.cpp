#include "ledger/people/key_file.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "ledger/text/json.h"
#include "ledger/words/words.h"

namespace trayproof::people {
namespace {

constexpr std::size_t key_file_bytes_max = 1024 * 1024;

std::optional<Digest> secret(const json::Value& value, std::string_view name) {
  const auto text = value.text_at(name);
  Digest out;
  if (!text || !from_hex(*text, out)) return std::nullopt;
  return out;
}

// Absent is well; there and not 64 hex digits is not.
bool read_next(const json::Value& value, std::string_view name, std::optional<crypto::SigningKey>& into) {
  if (value.find(name) == nullptr) return true;
  const auto seed = secret(value, name);
  if (seed) into = crypto::SigningKey::from_seed(*seed);
  return seed.has_value();
}

bool read_persons(const json::Value& value, std::vector<SealedKey>& into) {
  const json::Value* persons = value.find("persons");
  if (persons == nullptr) return true;
  if (!persons->is_list()) return false;
  for (const json::Value& one : persons->items()) {
    auto sealed = sealed_key_of(one);
    if (!sealed) return false;
    into.push_back(std::move(*sealed));
  }
  return true;
}

std::optional<KeyFile> key_file_of(const json::Value& value) {
  const auto ledger = value.text_at("ledger");
  const auto station = value.text_at("station");
  const auto station_seed = secret(value, "station_key");
  const auto ledger_seed = secret(value, "ledger_key");
  const auto lookup = secret(value, "lookup_secret");
  const auto sealing = secret(value, "sealing_secret");
  const auto mark = secret(value, "mark_secret");
  const auto format = value.number_at("format");
  if ((format != 1.0 && format != 2.0) || !ledger || !is_hex(*ledger, 16) || !station || !station_seed ||
      !ledger_seed || !lookup || !sealing || !mark) {
    return std::nullopt;
  }
  KeyFile file{.ledger = std::string(*ledger),
               .station = std::string(*station),
               .station_key = crypto::SigningKey::from_seed(*station_seed),
               .ledger_key = crypto::SigningKey::from_seed(*ledger_seed),
               .lookup_secret = *lookup,
               .sealing_secret = *sealing,
               .mark_secret = *mark,
               .next_station_key = {},
               .next_ledger_key = {},
               .persons = {}};
  const bool rest_reads = read_next(value, "next_station_key", file.next_station_key) &&
                          read_next(value, "next_ledger_key", file.next_ledger_key) &&
                          read_persons(value, file.persons);
  return rest_reads ? std::optional(std::move(file)) : std::nullopt;
}

std::string bytes_of(const KeyFile& file) {
  json::Value value = json::Value::object();
  value.set("format", 2).set("ledger", file.ledger).set("station", file.station);
  value.set("station_key", hex(file.station_key.seed())).set("ledger_key", hex(file.ledger_key.seed()));
  value.set("lookup_secret", hex(file.lookup_secret)).set("sealing_secret", hex(file.sealing_secret));
  value.set("mark_secret", hex(file.mark_secret));
  if (file.next_station_key) value.set("next_station_key", hex(file.next_station_key->seed()));
  if (file.next_ledger_key) value.set("next_ledger_key", hex(file.next_ledger_key->seed()));
  json::Value persons = json::Value::list();
  for (const SealedKey& one : file.persons) persons.push(to_json(one));
  value.set("persons", std::move(persons));
  return json::indented(value) + "\n";
}

// Holds the lock of the file that stands under the path now: one that was replaced while we waited is no longer it.
class Locked {
 public:
  static Result<Locked> take(const std::string& path) {
    while (true) {
      Locked held(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
      if (held.fd_ < 0 && errno == ENOENT) return Error(ErrorCode::missing, say("keys.missing", {{"path", path}}));
      if (held.fd_ < 0) return Error(ErrorCode::denied, path + ": " + std::strerror(errno));
      while (::flock(held.fd_, LOCK_EX) != 0) {
        if (errno != EINTR) return Error(ErrorCode::unavailable, path + ": " + std::strerror(errno));
      }
      struct stat opened {};
      struct stat named {};
      if (::fstat(held.fd_, &opened) == 0 && ::stat(path.c_str(), &named) == 0 && opened.st_ino == named.st_ino &&
          opened.st_dev == named.st_dev) {
        return held;
      }
    }
  }
  Locked(Locked&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Locked& operator=(Locked&&) = delete;
  ~Locked() {
    if (fd_ >= 0) ::close(fd_);
  }

 private:
  explicit Locked(int fd) : fd_(fd) {}
  int fd_;
};

}  // namespace

std::string key_path(const std::string& ledger_path) { return ledger_path + ".keys"; }

KeyFile KeyFile::make(const std::string& ledger, const std::string& station) {
  return {.ledger = ledger,
          .station = station,
          .station_key = crypto::SigningKey::from_seed(crypto::random_bytes<32>()),
          .ledger_key = crypto::SigningKey::from_seed(crypto::random_bytes<32>()),
          .lookup_secret = crypto::random_bytes<32>(),
          .sealing_secret = crypto::random_bytes<32>(),
          .mark_secret = crypto::random_bytes<32>(),
          .next_station_key = {},
          .next_ledger_key = {},
          .persons = {}};
}

Result<KeyFile> KeyFile::read(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return Error(ErrorCode::missing, say("keys.missing", {{"path", path}}));
  if ((info.st_mode & 077) != 0) return Error(ErrorCode::denied, say("keys.open-to-others", {{"path", path}}));
  TRY_LET(const auto bytes, read_file(path, key_file_bytes_max));
  const auto parsed = json::parse(as_text(bytes));
  const Error damaged(ErrorCode::corrupt, say("keys.damaged", {{"path", path}}));
  if (!parsed.ok()) return damaged;
  auto file = key_file_of(parsed.value());
  if (!file) return damaged;
  return std::move(*file);
}

Result<void> KeyFile::write(const std::string& path) const {
  return write_new_file(path, as_bytes(bytes_of(*this)), FileMode::owner_only);
}

bool KeyFile::settle(const KeyBook& book) {
  const auto settle_one = [&](std::optional<crypto::SigningKey>& next, crypto::SigningKey& present) {
    if (!next) return false;
    const KnownKey* known = book.find(hex(next->public_key()));
    if (known == nullptr || known->retired) return false;
    present = *next;
    next.reset();
    return true;
  };
  const bool station_settled = settle_one(next_station_key, station_key);
  return settle_one(next_ledger_key, ledger_key) || station_settled;
}

Result<KeyFile> KeyFile::change(const std::string& path, const std::function<Result<void>(KeyFile&)>& edit) {
  TRY_LET(const auto held, Locked::take(path));
  TRY_LET(auto file, read(path));
  TRY(edit(file));
  TRY(replace_file(path, as_bytes(bytes_of(file)), FileMode::owner_only));
  return file;
}

}  // namespace trayproof::people
