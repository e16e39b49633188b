#include "report/csv/csv.h"

namespace trayproof::csv {
namespace {

// A leading = + - @ TAB or CR would be run as a formula (OWASP ASVS 1.2.10): an apostrophe keeps it text. A number
// keeps its sign.
bool would_run(const std::string& text) {
  if (text.empty() || std::string_view("=+-@\t\r").find(text.front()) == std::string_view::npos) return false;
  const bool number = text.size() > 1 && text.find_first_not_of("0123456789.", 1) == std::string::npos;
  return text.front() != '-' || !number;
}

std::string quoted(const std::string& text) {
  std::string out = "\"";
  if (would_run(text)) out += '\'';
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

}  // namespace

std::string row(const std::vector<std::string>& cells) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) out += (i == 0 ? "" : ",") + quoted(cells[i]);
  return out + "\r\n";
}

}  // namespace trayproof::csv
