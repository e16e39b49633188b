// The fields of a form or of a query ("a=1&b=%C3%A9"), decoded strictly: what is no UTF-8 or holds NUL is refused
// whole.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "report/desk/server/request.h"

namespace trayproof::desk {

class Fields {
 public:
  Fields() = default;
  explicit Fields(std::vector<std::pair<std::string, std::string>> all) : all_(std::move(all)) {}
  // application/x-www-form-urlencoded, of a query or a body.
  static std::optional<Fields> read(std::string_view encoded);
  // The parts of a multipart form that are no files; nothing where one has no name.
  static std::optional<Fields> of_parts(const std::vector<Part>& parts);

  // The first of that name; nothing where there is none. A field that was left empty is there and is empty.
  std::optional<std::string_view> find(std::string_view name) const;
  // As `find`, without what is empty.
  std::optional<std::string> filled(std::string_view name) const;
  const std::vector<std::pair<std::string, std::string>>& all() const { return all_; }

 private:
  std::vector<std::pair<std::string, std::string>> all_;
};

// Without blanks and ends of lines around it.
std::string_view trimmed(std::string_view text);

// The number of an entry: at most 15 digits; 0 for anything else.
std::int64_t seq_in(std::string_view text);

}  // namespace trayproof::desk
