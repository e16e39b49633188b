// A line of entries as `export` prints it: {"entry":"<canonical JSON>","hash":"hex","key":"hex","sig":"hex"}.
#pragma once

#include <string>
#include <string_view>

namespace trayproof::evidence {

struct EntryLine {
  std::string entry;
  std::string hash, key, sig;
};

// False when the line is no JSON object of exactly these four texts; `row` is undefined then. Whatever spelling of it
// comes, what is read is what the JSON reader reads; the one that `export` prints is read several times faster.
bool read_entry_line(std::string_view line, EntryLine& row);

}  // namespace trayproof::evidence
