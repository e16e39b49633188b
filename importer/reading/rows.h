// Stage 6: the records below the header, one after the other: rows with a time and values, and what is none, why.
// docs/import-reading.md is the authority.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/columns.h"
#include "importer/reading/date_order.h"
#include "importer/reading/reading.h"

namespace trayproof::reading {

inline constexpr std::size_t shown_code_points = 200;  // of a refused row's text

// A row whose time and cells could be read: one value a channel, NaN where there is none.
struct ParsedRow {
  std::int64_t line = 0;
  std::int64_t byte = 0;
  std::string_view text;
  std::span<const double> values;
  std::optional<std::size_t> channel;  // of a long layout: the one that its only value belongs to
};

class Rows {
 public:
  using Sink = std::function<void(const ParsedRow&, const RowTime&)>;
  Rows(const Layout& layout, const Options& options, Reading& reading, Columns& columns, Sink sink)
      : layout_(layout),
        options_(options),
        reading_(reading),
        columns_(columns),
        sink_(std::move(sink)),
        time_(columns.time) {
    for (const ChannelColumn& channel : columns.channels) header_places_.push_back(channel.cell);
    places_of_ = header_places_;
  }

  void take(const Record& record);
  // Text behind the last row is the file's own closing, not a row.
  void finish();

  // Some stamp showed seconds.
  bool seconds() const { return seconds_; }
  void show_seconds() { seconds_ = true; }
  void refuse(const ParsedRow& row, std::string_view why);

  // The cells stand where the first header puts them, and no line waits to be told a note from a row.
  bool is_plain() const { return waiting_.empty() && !foreign_ && !moved_; }
  // The record taken last was a row.
  bool was_row() const { return was_row_; }

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
  bool join();

  // Nothing when the time was read, else why not.
  std::optional<std::string_view> read_time(RowTime& time);
  std::optional<std::string_view> read_stamp(RowTime& time);

  void row(const Record& record, const RowTime& time);
  void long_row(const Record& record, const RowTime& time);
  void give(const Record& record, const RowTime& time, std::optional<std::size_t> channel);
  bool is_cut_off() const;
  bool has_number_past_columns() const;
  double read_value(const Record& record, std::size_t place, const ChannelColumn& channel, bool& garbage);
  void keep_garbage_notes();

  RefusedRow refused(const Record& record, std::string_view why, std::string column) const;
  void refuse(const Record& record, std::string_view why, std::string column = {});
  void keep_metadata(Metadata line);
  void keep_date(const Metadata& line);
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
  std::string garbage_column_;        // of the first of them
  std::vector<double> values_;
  Sink sink_;
  TimeColumns time_;                                  // as the section's header places it
  std::vector<std::size_t> header_places_;            // the cell of each channel by the first header
  std::vector<std::size_t> places_of_;                // and by the section's
  bool foreign_ = false;                              // the section's header names another table
  std::map<std::string, std::size_t> channel_named_;  // of a long layout
  std::vector<Waiting> waiting_;                      // lines without a time since the last row
  std::optional<RawDate> section_date_;               // of clocks without a date: a line above the next row says it
  bool seconds_ = false;
  bool moved_ = false;  // a header further down moved the columns
  bool was_row_ = false;
};

}  // namespace trayproof::reading
