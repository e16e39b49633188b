// Rows that stand twice in a file, far apart: an export that was appended to itself. Found without keeping the rows: a
// first reading learns which times are passed twice, a second compares the rows of those times only.
// docs/import-reading.md, "Order", is the authority.
#pragma once

#include <cstdint>
#include <vector>

#include "importer/judging/sample.h"

namespace trayproof::judging {

struct Passage {
  double from_s = 0;
  double until_s = 0;
  bool operator==(const Passage&) const = default;
};

// The runs of a file within which time does not jump back far.
class Runs {
 public:
  void begin(double at_s);  // a jump back far: a new run
  void extend(double at_s);
  // The times that lie in more than one run, in order, apart.
  std::vector<Passage> passed_twice() const;

 private:
  std::vector<Passage> runs_;
};

// Rows by a digest of their time and values.
class SeenRows {
 public:
  explicit SeenRows(std::vector<Passage> times) : times_(std::move(times)) {}
  bool watches(double at_s) const;
  // True: the same row was seen before. `place` tells rows of one minute apart where stamps show no seconds. Past a
  // million and a half rows nothing more is remembered.
  bool seen(const Sample& sample, std::int64_t place);
  bool full() const { return full_; }

 private:
  bool insert(std::uint64_t digest);

  std::vector<Passage> times_;
  std::vector<std::uint64_t> slots_;  // open addressing; 0 is free
  std::size_t filled_ = 0;
  bool full_ = false;
};

}  // namespace trayproof::judging
