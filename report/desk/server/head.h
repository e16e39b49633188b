// The head of a request: request line and headers, read more strictly than RFC 9112 asks, so that no two readers can
// find different ends of one request in the same bytes. Everything that could mean two things is refused, and the
// connection with it. Pure: no socket, no library.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "report/desk/server/refusal.h"

namespace trayproof::desk {

struct HeaderLine {
  std::string name;  // lower case
  std::string value;
};

struct Head {
  std::string method;
  std::string target;                 // as sent
  std::vector<std::string> segments;  // of the path, each decoded; "/" has none
  std::string query;                  // as sent, without its "?"
  std::vector<HeaderLine> headers;
  std::string host;  // lower case, with its port
  std::int64_t body_bytes = 0;
  bool keep_alive = true;
  bool awaits_go_ahead = false;  // Expect: 100-continue

  // The value of the first header of that name (lower case); empty when there is none.
  std::string_view header(std::string_view name) const;
};

// `bytes` ends with the empty line.
std::variant<Head, Refusal> read_head(std::string_view bytes);

// "%C3%A9" decoded; nothing where it is no UTF-8, or holds what no id may hold (control characters).
bool decode(std::string_view encoded, std::string& into);

}  // namespace trayproof::desk
