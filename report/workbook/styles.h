// The formats of the workbook, each made once a book. Included by book.cpp and styles.cpp only.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "report/workbook/cell.h"

struct lxw_workbook;
struct lxw_format;

namespace trayproof::workbook {

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
  // The format of that name, or a new one at the top of its cell, in a thin frame.
  lxw_format* cell(const std::string& name, bool& fresh);
  lxw_workbook* book_;
  std::map<std::string, lxw_format*> made_;
};

}  // namespace trayproof::workbook
