#include "report/evidence/check/entry_line.h"

#include <array>
#include <utility>

#include "ledger/text/json.h"

namespace trayproof::evidence {
namespace {

bool takes(std::string_view& rest, std::string_view part) {
  if (!rest.starts_with(part)) return false;
  rest.remove_prefix(part.size());
  return true;
}

// Up to the quote that ends it. Nothing where another escape than those of quotes and backslashes comes, or a control
// character. Whether it is UTF-8 shows when the entry itself is read.
std::optional<std::string> entry_text(std::string_view& rest) {
  std::string out(rest.size(), '\0');
  char* to = out.data();
  for (const char* at = rest.data(); at != rest.data() + rest.size(); ++at) {
    char c = *at;
    if (c == '"') {
      out.resize(static_cast<std::size_t>(to - out.data()));
      rest.remove_prefix(static_cast<std::size_t>(at - rest.data()) + 1);
      return out;
    }
    if (c == '\\') {
      if (++at == rest.data() + rest.size() || (*at != '"' && *at != '\\')) return std::nullopt;
      c = *at;
    } else if (static_cast<unsigned char>(c) < 0x20) {
      return std::nullopt;
    }
    *to++ = c;
  }
  return std::nullopt;
}

constexpr std::array<bool, 256> hex_digits = [] {
  std::array<bool, 256> digits{};
  for (const char c : std::string_view("0123456789abcdef")) digits[static_cast<unsigned char>(c)] = true;
  return digits;
}();

std::optional<std::string> hex_text(std::string_view& rest) {
  std::size_t end = 0;
  while (end < rest.size() && hex_digits[static_cast<unsigned char>(rest[end])]) ++end;
  if (end == rest.size() || rest[end] != '"') return std::nullopt;
  std::string out(rest.substr(0, end));
  rest.remove_prefix(end + 1);
  return out;
}

std::optional<EntryLine> as_printed(std::string_view rest) {
  if (!takes(rest, "{\"entry\":\"")) return std::nullopt;
  auto entry = entry_text(rest);
  if (!entry || !takes(rest, ",\"hash\":\"")) return std::nullopt;
  auto hash = hex_text(rest);
  if (!hash || !takes(rest, ",\"key\":\"")) return std::nullopt;
  auto key = hex_text(rest);
  if (!key || !takes(rest, ",\"sig\":\"")) return std::nullopt;
  auto sig = hex_text(rest);
  if (!sig || rest != "}") return std::nullopt;
  return EntryLine{std::move(*entry), std::move(*hash), std::move(*key), std::move(*sig)};
}

}  // namespace

std::optional<EntryLine> read_entry_line(std::string_view line) {
  if (auto plain = as_printed(line)) return plain;
  const auto row = json::parse(line);
  if (!row.ok() || !row.value().is_object() || row.value().members().size() != 4) return std::nullopt;
  const auto text = [&](std::string_view name) { return row.value().text_at(name); };
  const auto entry = text("entry"), hash = text("hash"), key = text("key"), sig = text("sig");
  if (!entry || !hash || !key || !sig) return std::nullopt;
  return EntryLine{std::string(*entry), std::string(*hash), std::string(*key), std::string(*sig)};
}

}  // namespace trayproof::evidence
