#include "report/desk/fields.h"

#include "ledger/base/desk_limits.h"
#include "ledger/base/utf8.h"

namespace trayproof::desk {
namespace {

bool is_text(std::string_view text) { return text.find('\0') == std::string_view::npos && !first_bad_utf8(text); }

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

std::optional<std::string> decoded(std::string_view encoded) {
  std::string text;
  text.reserve(encoded.size());
  for (std::size_t i = 0; i < encoded.size(); ++i) {
    if (encoded[i] != '%') {
      text += encoded[i] == '+' ? ' ' : encoded[i];
      continue;
    }
    if (i + 2 >= encoded.size()) return std::nullopt;
    const int high = hex_digit(encoded[i + 1]);
    const int low = hex_digit(encoded[i + 2]);
    if (high < 0 || low < 0) return std::nullopt;
    text += static_cast<char>(high * 16 + low);
    i += 2;
  }
  if (!is_text(text)) return std::nullopt;
  return text;
}

}  // namespace

std::optional<Fields> Fields::read(std::string_view encoded) {
  Fields fields;
  while (!encoded.empty()) {
    const std::size_t end = encoded.find('&');
    const std::string_view one = encoded.substr(0, end);
    encoded.remove_prefix(end == std::string_view::npos ? encoded.size() : end + 1);
    if (one.empty()) continue;
    const std::size_t equals = one.find('=');
    auto name = decoded(one.substr(0, equals));
    auto value = equals == std::string_view::npos ? std::optional<std::string>("") : decoded(one.substr(equals + 1));
    if (!name || !value || fields.all_.size() >= limits::desk_form_fields) return std::nullopt;
    fields.all_.emplace_back(std::move(*name), std::move(*value));
  }
  return fields;
}

std::optional<Fields> Fields::of_parts(const std::vector<Part>& parts) {
  Fields fields;
  for (const Part& part : parts) {
    if (part.name.empty()) return std::nullopt;  // unquoted or reordered names come out empty
    if (!part.file_name.empty()) continue;
    if (!is_text(part.bytes) || fields.all_.size() >= limits::desk_form_fields) return std::nullopt;
    fields.all_.emplace_back(part.name, part.bytes);
  }
  return fields;
}

std::optional<std::string_view> Fields::find(std::string_view name) const {
  for (const auto& [one, value] : all_) {
    if (one == name) return value;
  }
  return std::nullopt;
}

std::optional<std::string> Fields::filled(std::string_view name) const {
  const auto found = find(name);
  if (!found || found->empty()) return std::nullopt;
  return std::string(*found);
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blanks = " \t\r\n";
  const std::size_t first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::int64_t seq_in(std::string_view text) {
  if (text.empty() || text.size() > 15) return 0;
  std::int64_t seq = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return 0;
    seq = seq * 10 + (c - '0');
  }
  return seq;
}

}  // namespace trayproof::desk
