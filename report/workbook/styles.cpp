#include "report/workbook/styles.h"

#include <xlsxwriter.h>

#include <cstdio>
#include <cstdlib>

#include "ledger/base/check.h"
#include "ledger/words/language.h"
#include "report/workbook/book.h"

namespace trayproof::workbook {
namespace {

constexpr lxw_color_t ink = 0x1F2A33;
constexpr lxw_color_t frame = 0xBFC8CE;
constexpr lxw_color_t header_ground = 0x22495C;
constexpr lxw_color_t block_ground = 0xDCE6EA;
constexpr lxw_color_t strong_ground = 0xFBE9D7;
constexpr lxw_color_t link_ink = 0x14507A;

}  // namespace

std::string offset_text(int offset_minutes) {
  const int size = std::abs(offset_minutes);
  char text[16];
  std::snprintf(text, sizeof text, "%c%02d:%02d", offset_minutes < 0 ? '-' : '+', size / 60 % 100, size % 60);
  return text;
}

std::string day_format(DayOf day) {
  // A language id in brackets has the month's name in the book's language whatever the reader's program speaks
  // (ECMA-376-1, 18.8.31; ids: [MS-LCID], from memory).
  const auto in = [day](std::string_view id) {
    return std::string(id) + (day == DayOf::chart_axis ? "d mmm" : "d mmm yyyy");
  };
  switch (language()) {
    case Language::spanish:
      return in("[$-40A]");
    case Language::french:
      return in("[$-40C]");
    case Language::hindi:
      return in("[$-439]");
    case Language::swahili:
      return in("[$-441]");
    case Language::english:
    case Language::mirrored:
      return day == DayOf::chart_axis ? "mm-dd" : "yyyy-mm-dd";
  }
  CHECK(false);
}

lxw_format* Styles::cell() {
  lxw_format* format = workbook_add_format(book_);
  CHECK(format != nullptr);
  format_set_font_name(format, "Arial");
  format_set_font_size(format, 10);
  format_set_font_color(format, ink);
  format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
  format_set_align(format, LXW_ALIGN_LEFT);
  format_set_border(format, LXW_BORDER_THIN);
  format_set_border_color(format, frame);
  return format;
}

lxw_format* Styles::title() {
  if (title_ != nullptr) return title_;
  lxw_format* format = title_ = workbook_add_format(book_);
  format_set_font_name(format, "Arial");
  format_set_font_size(format, 15);
  format_set_bold(format);
  format_set_font_color(format, header_ground);
  return format;
}

lxw_format* Styles::note() {
  if (note_ != nullptr) return note_;
  lxw_format* format = note_ = workbook_add_format(book_);
  format_set_font_name(format, "Arial");
  format_set_font_size(format, 9);
  format_set_italic(format);
  format_set_font_color(format, ink);
  format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
  return format;
}

lxw_format* Styles::header() {
  if (header_ != nullptr) return header_;
  lxw_format* format = header_ = cell();
  format_set_text_wrap(format);
  format_set_bold(format);
  format_set_font_color(format, LXW_COLOR_WHITE);
  format_set_bg_color(format, header_ground);
  format_set_align(format, LXW_ALIGN_VERTICAL_CENTER);
  return format;
}

lxw_format* Styles::of(Look look) {
  lxw_format*& format = looks_[static_cast<std::size_t>(look)];
  if (format != nullptr) return format;
  format = cell();
  format_set_text_wrap(format);
  switch (look) {
    case Look::plain:
      break;
    case Look::fixed_width:
      format_set_font_name(format, "Courier New");
      format_set_font_size(format, 9);
      break;
    case Look::heading:
      format_set_bold(format);
      format_set_bg_color(format, block_ground);
      break;
    case Look::strong:
      format_set_bold(format);
      format_set_bg_color(format, strong_ground);
      break;
  }
  return format;
}

lxw_format* Styles::number(int decimals) {
  CHECK(decimals >= 0 && static_cast<std::size_t>(decimals) <= decimals_max);
  lxw_format*& format = numbers_[static_cast<std::size_t>(decimals)];
  if (format != nullptr) return format;
  format = cell();
  const std::string digits = decimals == 0 ? "#,##0" : "#,##0." + std::string(static_cast<std::size_t>(decimals), '0');
  format_set_num_format(format, digits.c_str());
  format_set_align(format, LXW_ALIGN_RIGHT);
  format_set_indent(format, 1);
  return format;
}

lxw_format* Styles::time(std::optional<int> offset_minutes) {
  lxw_format*& format = offset_minutes ? times_[*offset_minutes] : time_;
  if (format != nullptr) return format;
  format = cell();
  const std::string offset = offset_minutes ? " \"" + offset_text(*offset_minutes) + "\"" : "";
  format_set_num_format(format, (day_format(DayOf::cell) + " hh:mm" + offset).c_str());
  format_set_font_size(format, 9);
  // A date that is wider than its column is shown small, never as a row of #.
  format_set_shrink(format);
  return format;
}

lxw_format* Styles::link() {
  if (link_ != nullptr) return link_;
  lxw_format* format = link_ = cell();
  format_set_text_wrap(format);
  format_set_font_color(format, link_ink);
  format_set_underline(format, LXW_UNDERLINE_SINGLE);
  return format;
}

}  // namespace trayproof::workbook
