// Stage 7c: wall clock to instant in a zone, row after row: the hour that a zone repeats is put in order by the
// sequence of the rows, the one it skips is taken as a clock not yet put forward. docs/import-reading.md is the
// authority.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "ledger/base/zone.h"

namespace trayproof::reading {

inline constexpr std::int16_t no_offset = std::numeric_limits<std::int16_t>::min();

class Clockwork {
 public:
  explicit Clockwork(const Zone& zone) : zone_(zone) {}

  // Of two instants in a repeated hour the first, unless the row before already passed it. `day` counts from
  // 1970-01-01.
  Instant at(std::int64_t day, std::int32_t clock_ms, std::int16_t offset_minutes);
  // How much later the last row would be if it were meant the second time that its hour is shown; 0 where it is shown
  // once or the second was taken.
  std::int64_t other_ms() const { return other_ms_; }

  std::optional<std::int16_t> file_offset;  // stands for the zone where the file names it
  bool repeated = false;                    // some row lies in a repeated hour
  bool skipped = false;                     // some row lies in a skipped hour

 private:
  const Zone& zone_;
  std::int64_t hour_ = std::numeric_limits<std::int64_t>::min();
  std::vector<std::int64_t> offsets_ms_;  // of that hour, in order of time
  std::optional<Instant> last_;
  std::int64_t other_ms_ = 0;
};

}  // namespace trayproof::reading
