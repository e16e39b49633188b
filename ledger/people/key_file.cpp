#include "ledger/people/key_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "ledger/text/json.h"
#include "ledger/words/words.h"

namespace trayproof::people {
namespace {

constexpr std::size_t key_file_bytes_max = 64 * 1024;

std::optional<Digest> secret(const json::Value& value, std::string_view name) {
  const auto text = value.text_at(name);
  Digest out;
  if (!text || !from_hex(*text, out)) return std::nullopt;
  return out;
}

}  // namespace

std::string key_path(const std::string& ledger_path) { return ledger_path + ".keys"; }

KeyFile KeyFile::make(const std::string& ledger, const std::string& station) {
  return {.ledger = ledger,
          .station = station,
          .station_key = crypto::SigningKey::from_seed(crypto::random_bytes<32>()),
          .ledger_key = crypto::SigningKey::from_seed(crypto::random_bytes<32>()),
          .lookup_secret = crypto::random_bytes<32>(),
          .sealing_secret = crypto::random_bytes<32>(),
          .mark_secret = crypto::random_bytes<32>()};
}

Result<KeyFile> KeyFile::read(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return Error(ErrorCode::missing, say("keys.missing", {{"path", path}}));
  if ((info.st_mode & 077) != 0) return Error(ErrorCode::denied, say("keys.open-to-others", {{"path", path}}));
  TRY_LET(const auto bytes, read_file(path, key_file_bytes_max));
  const auto parsed = json::parse(as_text(bytes));
  const Error damaged(ErrorCode::corrupt, say("keys.damaged", {{"path", path}}));
  if (!parsed.ok()) return damaged;
  const json::Value& value = parsed.value();
  const auto ledger = value.text_at("ledger");
  const auto station = value.text_at("station");
  const auto station_seed = secret(value, "station_key");
  const auto ledger_seed = secret(value, "ledger_key");
  const auto lookup = secret(value, "lookup_secret");
  const auto sealing = secret(value, "sealing_secret");
  const auto mark = secret(value, "mark_secret");
  if (value.number_at("format") != 1.0 || !ledger || !is_hex(*ledger, 16) || !station || !station_seed ||
      !ledger_seed || !lookup || !sealing || !mark) {
    return damaged;
  }
  return KeyFile{.ledger = std::string(*ledger),
                 .station = std::string(*station),
                 .station_key = crypto::SigningKey::from_seed(*station_seed),
                 .ledger_key = crypto::SigningKey::from_seed(*ledger_seed),
                 .lookup_secret = *lookup,
                 .sealing_secret = *sealing,
                 .mark_secret = *mark};
}

Result<void> KeyFile::write(const std::string& path) const {
  json::Value value = json::Value::object();
  value.set("format", 1).set("ledger", ledger).set("station", station);
  value.set("station_key", hex(station_key.seed())).set("ledger_key", hex(ledger_key.seed()));
  value.set("lookup_secret", hex(lookup_secret)).set("sealing_secret", hex(sealing_secret));
  value.set("mark_secret", hex(mark_secret));
  return write_new_file(path, as_bytes(json::indented(value) + "\n"), FileMode::owner_only);
}

}  // namespace trayproof::people
