// Files that are no text: a person is told how to make text of them. docs/import-reading.md is the authority.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "ledger/base/bytes.h"

namespace trayproof::reading {

// What a file is by its first bytes, where it is no text.
inline std::optional<std::string_view> is_foreign(ByteView bytes) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 6> known = {{{"PK\x03\x04", "XLSX"},
                                                                                          {"\xD0\xCF\x11\xE0", "XLS"},
                                                                                          {"%PDF", "PDF"},
                                                                                          {"\x1F\x8B", "gzip"},
                                                                                          {"\x89PNG", "PNG"},
                                                                                          {"\xFF\xD8\xFF", "JPEG"}}};
  const std::string_view text = as_text(bytes);
  // An OpenDocument file is a zip whose first member says so (OpenDocument 1.3, part 2, 3.3).
  constexpr std::size_t first_name = 30;
  if (text.starts_with("PK\x03\x04") && text.size() > first_name &&
      text.substr(first_name).starts_with("mimetypeapplication/vnd.oasis.opendocument"))
    return "OpenDocument";
  for (const auto& [begins, name] : known) {
    if (text.starts_with(begins)) return name;
  }
  return std::nullopt;
}

}  // namespace trayproof::reading
