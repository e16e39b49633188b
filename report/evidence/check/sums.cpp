#include "report/evidence/check/sums.h"

#include <map>
#include <optional>
#include <string>

#include "ledger/base/limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"

namespace trayproof::evidence {
namespace {

std::optional<Digest> hash_of(const Archive& archive, std::string_view name, Problems& problems) {
  auto reader = archive.reader(name);
  if (problems.take(name, reader)) return std::nullopt;
  crypto::Sha256Stream stream;
  while (true) {
    const auto part = reader.value().chunk();
    if (problems.take(name, part)) return std::nullopt;
    if (part.value().empty()) return stream.finish();
    stream.feed(part.value());
  }
}

// "<hex>  <name>" a line; by name.
std::map<std::string, std::string> read_sums(std::string_view text, Problems& problems) {
  std::map<std::string, std::string> told;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    const bool formed = end != std::string_view::npos && line.size() > 66 && is_hex(line.substr(0, 64), 32) &&
                        line.substr(64, 2) == "  ";
    if (!formed || !told.emplace(std::string(line.substr(66)), std::string(line.substr(0, 64))).second) {
      problems.add(sums_member, say("evidence.sums-form"));
      return told;
    }
    text.remove_prefix(end + 1);
  }
  return told;
}

}  // namespace

Digest check_sums(const Archive& archive, Problems& problems) {
  std::string text;
  if (archive.has(sums_member)) {
    auto read = archive.text(sums_member, limits::pack_json_bytes);
    if (!problems.take(sums_member, read)) text = std::move(read).value();
  }
  auto told = read_sums(text, problems);
  for (const std::string& name : archive.names()) {
    if (name == sums_member || name == signature_member) continue;
    const auto found = hash_of(archive, name, problems);
    const auto line = told.find(name);
    if (line == told.end())
      problems.add(name, say("evidence.not-in-sums"));
    else if (found && hex(*found) != line->second)
      problems.add(name, say("evidence.changed"));
    if (found && name.starts_with(attachments_folder) && name.substr(attachments_folder.size()) != hex(*found))
      problems.add(name, say("evidence.not-its-name"));
    if (line != told.end()) told.erase(line);
  }
  for (const auto& [name, hash] : told) problems.add(name, say("evidence.member-missing"));
  return crypto::sha256(as_bytes(text));
}

}  // namespace trayproof::evidence
