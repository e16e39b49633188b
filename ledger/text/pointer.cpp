#include "ledger/text/pointer.h"

#include <charconv>
#include <optional>

namespace trayproof::json {
namespace {

std::optional<std::string> unescaped(std::string_view token) {
  std::string name;
  for (std::size_t i = 0; i < token.size(); ++i) {
    if (token[i] != '~') {
      name += token[i];
      continue;
    }
    if (i + 1 >= token.size() || (token[i + 1] != '0' && token[i + 1] != '1')) return std::nullopt;
    name += token[++i] == '0' ? '~' : '/';
  }
  return name;
}

const Value* item_at(const Value& list, std::string_view token) {
  if (token.empty() || (token.size() > 1 && token.front() == '0')) return nullptr;
  std::size_t index = 0;
  const auto [end, error] = std::from_chars(token.data(), token.data() + token.size(), index);
  if (error != std::errc() || end != token.data() + token.size() || index >= list.items().size()) return nullptr;
  return &list.items()[index];
}

}  // namespace

const Value* at_pointer(const Value& value, std::string_view pointer) {
  const Value* at = &value;
  while (at != nullptr && !pointer.empty()) {
    if (pointer.front() != '/') return nullptr;
    const std::size_t end = pointer.find('/', 1);
    const std::string_view token = pointer.substr(1, end == std::string_view::npos ? end : end - 1);
    pointer.remove_prefix(end == std::string_view::npos ? pointer.size() : end);
    if (at->is_list()) {
      at = item_at(*at, token);
    } else {
      const auto name = unescaped(token);
      at = name ? at->find(*name) : nullptr;
    }
  }
  return at;
}

}  // namespace trayproof::json
