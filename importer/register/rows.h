// From a row of cells to an event: every field of the kind by the column that holds it. Private to the register.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "importer/register/cells.h"
#include "importer/register/register.h"
#include "importer/register/times.h"

namespace trayproof::registers {

struct RowRules {
  CellRules cells;
  reading::DateOrder order = reading::DateOrder::ymd;
  Zone zone = Zone::utc();
  std::optional<Moment> at;  // of rows that tell none
  bool empty_not_recorded = false;
};

class RowReader {
 public:
  // What it points to must outlive it.
  RowReader(const events::Kind& kind, const Choices& choices, const RowRules& rules, Register& into);

  // Appends the event's line, or refusals; `paper` is the event's.
  void read(const SheetRow& row, const std::string& paper);

 private:
  struct Field {
    const events::Field* field = nullptr;
    std::vector<const MatchedColumn*> columns;
    std::string fixed;
  };
  struct Event {
    const SheetRow* row = nullptr;
    json::Value value;
    json::Value unknown;
    json::Value as_read;
    Precision precision = Precision::second;
    std::optional<Moment> at;
    bool good = true;
  };

  void keep_numbers(const Event& event);
  void read_field(const Field& field, Event& event);
  void read_plain(const Field& field, Event& event);
  void read_time(const Field& field, Event& event);
  bool gather_time(const Field& field, Event& event, RegisterTime& time, bool& any, std::string& unknown);
  void set_moment(const Field& field, const MomentFound& found, Event& event);
  void take_missing(Event& event);
  void refuse(Event& event, std::string column, std::string_view field, std::string why);
  std::string_view cell_of(const Event& event, const MatchedColumn& column) const;
  // A cell as it may be shown in a refusal.
  std::string found(const Event& event, const Field& field, std::string_view cell) const;

  const events::Kind& kind_;
  const RowRules& rules_;
  Register& into_;
  std::vector<Field> fields_;  // `at` first: other times may need its day
  std::vector<std::pair<std::string, std::string>> fixed_unknown_;
  std::vector<const MatchedColumn*> patients_;
  std::size_t width_ = 0;
};

}  // namespace trayproof::registers
