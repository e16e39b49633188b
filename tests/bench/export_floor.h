// An invented export of any size, and what the bare machine needs to parse it.
#pragma once

#include <cstdint>
#include <string>

namespace trayproof::bench {

// `;`, decimal comma, dd.mm.yyyy HH:MM:SS, two probes and two pressures, CR LF, one row a second: a steam cycle of
// about an hour in every two. The same every time. Returns how many rows it has.
std::int64_t write_export(const std::string& path, std::int64_t bytes);

struct Parsed {
  std::int64_t rows = 0;
  std::int64_t stamps = 0;  // sum of seconds since 1970
  double sum = 0;           // of the first channel
};
// One way through, a mapped file, every stamp and every value checked and parsed with std::from_chars.
Parsed parse_bare(const std::string& path);

}  // namespace trayproof::bench
