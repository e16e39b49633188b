// How far the genuine cycles of a machine lie from each other, as the kept curves near to a new one show it: against
// that a copy stands out even where noise was added to few readings. docs/import-reading.md, "The same curve again", is
// the authority.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace trayproof::judging {

// The readings of one curve against another, their mean difference at the top taken away: root of the mean of squares.
struct Apart {
  double top_k = 0;
  double ramp_k = 0;  // NaN where no reading lies on a ramp
};

class Crowd {
 public:
  void add(const Apart& apart);
  // How improbable it is, as a negative logarithm, that any of them lies so near by chance. Nothing where they are too
  // few to tell.
  std::optional<double> improbable(const Apart& apart) const;

 private:
  std::vector<double> top_;  // logarithms of squares
  std::vector<double> ramp_;
};

}  // namespace trayproof::judging
