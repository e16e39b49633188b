// Stage 6: the records below the header, one after the other: rows with a time and values, and what is none, why.
// docs/import-reading.md is the authority.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/date_order.h"
#include "importer/reading/reading.h"

namespace trayproof::reading {

inline constexpr std::size_t shown_code_points = 200;  // of a refused row's text

class Rows {
 public:
  Rows(const Layout& layout, const Options& options, Reading& reading, Columns& columns)
      : layout_(layout), options_(options), reading_(reading), columns_(columns), time_(columns.time) {
    for (const ChannelColumn& channel : columns.channels) header_places_.push_back(channel.cell);
    places_of_ = header_places_;
  }

  void take(const Record& record);
  // Text behind the last row is the file's own closing, not a row.
  void finish();

  const std::vector<RowTime>& times() const { return times_; }
  // Of a long layout: which channel each row's one value belongs to.
  const std::vector<std::size_t>& channel_of_row() const { return channel_of_row_; }
  // Some stamp showed seconds.
  bool seconds() const { return seconds_; }

 private:
  struct Waiting {
    RefusedRow row;
    std::vector<std::string> cells;
  };

  std::string_view cell(std::size_t place) const { return place < cells_.size() ? cells_[place] : std::string_view(); }
  std::vector<std::string> owned_cells() const { return {cells_.begin(), cells_.end()}; }
  bool is_repeated_header();
  bool is_other_header(const Record& record);
  void compare_units();
  void follow_header();
  bool repeats(const std::vector<std::string>& names) const;
  void join_pairs();

  // Nothing when the time was read, else why not.
  std::optional<std::string_view> read_time(RowTime& time);
  std::optional<std::string_view> read_stamp(RowTime& time);

  void row(const Record& record, const RowTime& time);
  void long_row(const Record& record, const RowTime& time);
  void keep(const Record& record, const RowTime& time);
  bool is_cut_off() const;
  bool has_number_past_columns() const;
  double read_value(const Record& record, std::size_t place, const ChannelColumn& channel, bool& garbage);
  void keep_garbage_notes();

  void refuse(const Record& record, std::string_view why);
  void note_line(const Record& record);
  void unreadable(const Record& record, std::string_view why);
  void settle_waiting();

  const Layout& layout_;
  const Options& options_;
  Reading& reading_;
  Columns& columns_;
  std::vector<std::string_view> cells_;  // of the record in hand
  std::vector<std::string> joined_;
  std::vector<std::string> garbage_;  // notes on cells that are no numbers, of the record in hand
  std::vector<RowTime> times_;
  std::vector<std::size_t> channel_of_row_;
  TimeColumns time_;                                  // as the section's header places it
  std::vector<std::size_t> header_places_;            // the cell of each channel by the first header
  std::vector<std::size_t> places_of_;                // and by the section's
  bool foreign_ = false;                              // the section's header names another table
  std::map<std::string, std::size_t> channel_named_;  // of a long layout
  std::vector<Waiting> waiting_;                      // lines without a time since the last row
  bool seconds_ = false;
};

}  // namespace trayproof::reading
