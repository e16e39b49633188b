// A line of entries as `export` prints it: {"entry":"<canonical JSON>","hash":"hex","key":"hex","sig":"hex"}.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace trayproof::evidence {

struct EntryLine {
  std::string entry;
  std::string hash, key, sig;
};

// Nothing when the line is no JSON object of exactly these four texts. Whatever spelling of it comes, what is read is
// what the JSON reader reads; the one that `export` prints is read several times faster.
std::optional<EntryLine> read_entry_line(std::string_view line);

}  // namespace trayproof::evidence
