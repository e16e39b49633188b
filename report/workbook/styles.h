// The formats of the workbook, each made once a book, when it is first asked for. Included by the writing of the book
// only.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>

#include "report/workbook/cell.h"

struct lxw_workbook;
struct lxw_format;

namespace trayproof::workbook {

// A day as a format of the spreadsheet, in the order and with the names of the book's language.
enum class DayOf { cell, chart_axis };
std::string day_format(DayOf day);

class Styles {
 public:
  explicit Styles(lxw_workbook* book) : book_(book) {}
  lxw_format* title();
  lxw_format* note();
  lxw_format* header();
  lxw_format* of(Look look);
  lxw_format* number(int decimals);
  // A date format. With an offset it shows it, so that the two passes of a repeated hour read apart.
  lxw_format* time(std::optional<int> offset_minutes);
  lxw_format* link();

 private:
  // A new one, at the top of its cell and in a thin frame.
  lxw_format* cell();

  static constexpr std::size_t looks = 4;
  static constexpr std::size_t decimals_max = 6;
  lxw_workbook* book_;
  lxw_format* title_ = nullptr;
  lxw_format* note_ = nullptr;
  lxw_format* header_ = nullptr;
  lxw_format* link_ = nullptr;
  std::array<lxw_format*, looks> looks_{};
  std::array<lxw_format*, decimals_max + 1> numbers_{};
  lxw_format* time_ = nullptr;
  std::map<int, lxw_format*> times_;  // by offset
};

}  // namespace trayproof::workbook
