// Rows of CSV (RFC 4180) that a spreadsheet opens as text and never runs.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace trayproof::csv {

// Stands first in a file, so that spreadsheets read it as UTF-8.
inline constexpr std::string_view mark = "\xEF\xBB\xBF";
std::string row(const std::vector<std::string>& cells);

}  // namespace trayproof::csv
