#include "report/desk/stations.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "ledger/base/desk_limits.h"
#include "ledger/base/files.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/random.h"
#include "ledger/text/json.h"
#include "ledger/words/words.h"
#include "report/desk/sessions.h"

namespace trayproof::desk {
namespace {

using json::Value;

// Letters and digits that are not mistaken for each other when read aloud or typed with gloves: no 0 O 1 I L U.
constexpr std::string_view alphabet = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
constexpr std::size_t code_size = 8;  // 39 bits; tries are slowed down (throttle.h), and it lives 15 minutes

std::string random_code() {
  std::string code;
  while (code.size() < code_size) {
    const std::uint8_t byte = crypto::random_bytes<1>()[0];
    if (byte < 240) code += alphabet[byte % alphabet.size()];  // 240 is a multiple of 30: every sign is as likely
  }
  return code;
}

// As typed: small letters, blanks and dashes do not matter.
std::string plain_code(std::string_view typed) {
  std::string code;
  for (const char c : typed) {
    if (c == ' ' || c == '-') continue;
    code += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return code;
}

// One program at a time changes the file; the lock is on a file of its own, since the other is replaced.
class Lock {
 public:
  explicit Lock(const std::string& path) : fd_(::open((path + ".lock").c_str(), O_CREAT | O_RDWR | O_CLOEXEC, 0600)) {
    while (fd_ >= 0 && ::flock(fd_, LOCK_EX) != 0 && errno == EINTR) continue;
  }
  ~Lock() {
    if (fd_ >= 0) ::close(fd_);
  }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;
  bool held() const { return fd_ >= 0; }

 private:
  int fd_;
};

const json::List& listed(const Value& value, std::string_view name) {
  static const json::List none;
  const Value* found = value.find(name);
  return found != nullptr && found->is_list() ? found->items() : none;
}

Result<void> may_be_added(std::string_view label, std::size_t count) {
  constexpr std::size_t label_code_points = 60;
  const bool plain =
      std::none_of(label.begin(), label.end(), [](char c) { return static_cast<unsigned char>(c) < ' '; });
  if (label.empty() || !plain || first_bad_utf8(label) || code_points(label) > label_code_points)
    return Error(ErrorCode::invalid, say("desk.station-label"));
  if (count >= limits::desk_stations)
    return Error(ErrorCode::invalid, say("desk.stations-many", {{"count", std::to_string(count)}}));
  return {};
}

std::optional<Instant> instant_at(const Value& value, std::string_view name) {
  const auto time = parse_date_time(value.text_at(name).value_or(""));
  return time ? std::optional(time->instant) : std::nullopt;
}

}  // namespace

std::string stations_path(const std::string& ledger_path) { return ledger_path + ".stations"; }

Stations::Stations(std::string path, Clock& clock) : path_(std::move(path)), clock_(clock) {}

Result<Stations::File> Stations::read() const {
  File file;
  if (!file_exists(path_)) return file;
  TRY_LET(const auto bytes, read_file(path_, limits::desk_stations_file_bytes));
  const Error damaged(ErrorCode::corrupt, say("desk.stations-damaged", {{"path", path_}}));
  const auto parsed = json::parse(as_text(bytes));
  if (!parsed.ok() || parsed.value().number_at("format") != 1.0) return damaged;
  for (const Value& one : listed(parsed.value(), "stations")) {
    const auto since = instant_at(one, "since");
    if (!one.text_at("label") || !one.text_at("token_sha256") || !since) return damaged;
    file.stations.push_back({.label = std::string(*one.text_at("label")),
                             .token_hash = std::string(*one.text_at("token_sha256")),
                             .since = *since});
  }
  for (const Value& one : listed(parsed.value(), "codes")) {
    const auto until = instant_at(one, "until");
    if (!one.text_at("label") || !one.text_at("code_sha256") || !until) return damaged;
    file.codes.push_back({.label = std::string(*one.text_at("label")),
                          .code_hash = std::string(*one.text_at("code_sha256")),
                          .until = *until});
  }
  return file;
}

Result<void> Stations::write(const File& file) const {
  Value stations = Value::list();
  for (const Station& one : file.stations) {
    stations.push(Value::object()
                      .set("label", one.label)
                      .set("token_sha256", one.token_hash)
                      .set("since", format_date_time({one.since, 0})));
  }
  Value codes = Value::list();
  for (const Code& one : file.codes) {
    codes.push(Value::object()
                   .set("label", one.label)
                   .set("code_sha256", one.code_hash)
                   .set("until", format_date_time({one.until, 0})));
  }
  const Value whole =
      Value::object().set("format", 1).set("stations", std::move(stations)).set("codes", std::move(codes));
  return replace_file(path_, as_bytes(json::indented(whole)), FileMode::owner_only);
}

// With the mutex held: what another program changed is taken up.
Result<void> Stations::refresh() {
  struct stat info {};
  const bool there = ::stat(path_.c_str(), &info) == 0;
  const std::int64_t size = there ? info.st_size : 0;
  const std::int64_t ns = there ? info.st_mtim.tv_sec * 1'000'000'000 + info.st_mtim.tv_nsec : 0;
  const std::uint64_t inode = there ? info.st_ino : 0;
  if (size == known_size_ && ns == known_ns_ && inode == known_inode_) return {};
  TRY_LET(known_, read());
  known_size_ = size;
  known_ns_ = ns;
  known_inode_ = inode;
  return {};
}

template <typename Edit>
Result<void> Stations::change(Edit edit) {
  const std::lock_guard guard(mutex_);
  const Lock lock(path_);
  if (!lock.held()) return Error(ErrorCode::unavailable, path_ + ".lock: " + std::strerror(errno));
  TRY_LET(auto file, read());
  const Instant now = clock_.now();
  std::erase_if(file.codes, [&](const Code& one) { return one.until < now; });
  TRY(edit(file));
  TRY(write(file));
  return refresh();
}

Result<std::vector<Station>> Stations::all() {
  const std::lock_guard guard(mutex_);
  TRY(refresh());
  return known_.stations;
}

Result<std::string> Stations::make_code(const std::string& label) {
  const std::string code = random_code();
  const Instant until{clock_.now().ms + limits::desk_code_seconds * second_ms};
  auto added = change([&](File& file) -> Result<void> {
    TRY(may_be_added(label, file.stations.size()));
    file.codes.push_back({.label = label, .code_hash = token_hash(code), .until = until});
    return {};
  });
  if (!added.ok()) return std::move(added).error();
  return code;
}

Result<std::string> Stations::redeem(std::string_view code) {
  const std::string hash = token_hash(plain_code(code));
  std::string token = new_token();
  TRY(change([&](File& file) -> Result<void> {
    const auto found =
        std::find_if(file.codes.begin(), file.codes.end(), [&](const Code& one) { return one.code_hash == hash; });
    if (found == file.codes.end()) return Error(ErrorCode::missing, say("desk.no-code"));
    file.stations.push_back({.label = found->label, .token_hash = token_hash(token), .since = clock_.now()});
    file.codes.erase(found);
    return {};
  }));
  return token;
}

Result<std::string> Stations::add(const std::string& label) {
  std::string token = new_token();
  auto added = change([&](File& file) -> Result<void> {
    TRY(may_be_added(label, file.stations.size()));
    file.stations.push_back({.label = label, .token_hash = token_hash(token), .since = clock_.now()});
    return {};
  });
  if (!added.ok()) return std::move(added).error();
  return token;
}

Result<void> Stations::remove(const std::string& label) {
  return change([&](File& file) -> Result<void> {
    const auto gone = std::erase_if(file.stations, [&](const Station& one) { return one.label == label; }) +
                      std::erase_if(file.codes, [&](const Code& one) { return one.label == label; });
    if (gone == 0) return Error(ErrorCode::missing, say("desk.no-station", {{"label", label}}));
    return {};
  });
}

std::optional<std::string> Stations::label_of(std::string_view token) {
  const std::string hash = token_hash(token);
  const std::lock_guard guard(mutex_);
  // A removed station is out within a second; a look at the file costs less than the request it guards.
  const double now = clock_.seconds();
  if (looked_ < 0 || now - looked_ > 1.0) {
    looked_ = now;
    // A file that cannot be read lets nobody in who was not known before it broke.
    if (!refresh().ok()) return std::nullopt;
  }
  const auto label = [&]() -> std::optional<std::string> {
    for (const Station& one : known_.stations) {
      if (one.token_hash == hash) return one.label;
    }
    return std::nullopt;
  };
  if (auto found = label()) return found;
  // It may have been let in since.
  return refresh().ok() ? label() : std::nullopt;
}

}  // namespace trayproof::desk
