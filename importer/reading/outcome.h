// What reading a file leaves beside its values: questions, refused rows. Plain data, never an error.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include "ledger/text/json.h"

namespace trayproof::reading {

// A choice that the file leaves open and that would change what it says.
struct Ask {
  std::string what;    // "date-order", "pressure", "unit", "decimal", "delimiter", "zone"
  json::List choices;  // each {"value", and what the file would then say}
  std::string option;  // the option that answers it
};

struct RefusedRow {
  std::int64_t line = 0;
  std::int64_t byte = 0;  // of the file, at which the line begins
  std::string column;     // the one at fault; empty where it is the whole row
  std::string text;
  // In English, whatever language the importer spoke: they are kept beside the export. People read them by `why_here`.
  std::string why;
  std::string mend;  // what a person can do about it
};

// All are counted, the first are kept: a file of nothing but rubbish must not fill the memory.
class RefusedRows {
 public:
  static constexpr std::size_t kept_max = 20'000;

  void add(RefusedRow row) {
    if (rows_.size() < kept_max)
      rows_.push_back(std::move(row));
    else
      ++more_;
  }
  void sort_by_line() {
    std::stable_sort(rows_.begin(), rows_.end(),
                     [](const RefusedRow& a, const RefusedRow& b) { return a.line < b.line; });
  }
  const std::vector<RefusedRow>& kept() const { return rows_; }
  std::int64_t more() const { return more_; }
  std::int64_t count() const { return more_ + static_cast<std::int64_t>(rows_.size()); }

 private:
  std::vector<RefusedRow> rows_;
  std::int64_t more_ = 0;
};

}  // namespace trayproof::reading
