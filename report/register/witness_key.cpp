#include "report/register/witness_key.h"

#include <sys/stat.h>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/crypto/random.h"
#include "ledger/crypto/stretch.h"
#include "ledger/text/json.h"
#include "ledger/words/words.h"

namespace trayproof::registry {
namespace {

constexpr std::string_view format_name = "trayproof/witness-key/1";

bool is_name(std::string_view name) {
  if (name.empty() || name.size() > limits::text_code_points) return false;
  for (const char c : name) {
    const bool plain = c > 0x20 && c < 0x7f && c != '+';
    if (!plain) return false;
  }
  return true;
}

}  // namespace

Result<WitnessKey> WitnessKey::make(const std::string& path, const std::string& name) {
  if (!is_name(name)) return Error(ErrorCode::invalid, say("district.witness-name", {{"found", name}}));
  WitnessKey made{.name = name, .key = crypto::SigningKey::from_seed(crypto::random_bytes<32>())};
  std::string text =
      json::plain(
          json::Value::object().set("format", format_name).set("name", name).set("seed", hex(made.key.seed()))) +
      "\n";
  auto written = write_new_file(path, as_bytes(text), FileMode::owner_only);
  crypto::forget(text.data(), text.size());
  if (!written.ok()) return std::move(written).error();
  return made;
}

Result<WitnessKey> WitnessKey::read(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) == 0 && (info.st_mode & (S_IRWXG | S_IRWXO)) != 0)
    return Error(ErrorCode::denied, say("district.witness-open", {{"path", path}}));
  TRY_LET(const Bytes bytes, read_file(path, limits::note_bytes));
  const auto found = json::parse(as_text(bytes));
  const Error none(ErrorCode::invalid, say("district.witness-none", {{"path", path}}));
  if (!found.ok() || found.value().text_at("format") != format_name) return none;
  Digest seed{};
  const std::string name(found.value().text_at("name").value_or(""));
  if (!is_name(name) || !from_hex(found.value().text_at("seed").value_or(""), seed)) return none;
  return WitnessKey{.name = name, .key = crypto::SigningKey::from_seed(seed)};
}

}  // namespace trayproof::registry
