#include "report/workbook/styles.h"

#include <xlsxwriter.h>

#include <cstdio>
#include <cstdlib>

#include "ledger/base/check.h"
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

lxw_format* Styles::cell(const std::string& name, bool& fresh) {
  lxw_format*& format = made_[name];
  fresh = format == nullptr;
  if (!fresh) return format;
  format = workbook_add_format(book_);
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
  lxw_format*& format = made_["title"];
  if (format != nullptr) return format;
  format = workbook_add_format(book_);
  format_set_font_name(format, "Arial");
  format_set_font_size(format, 15);
  format_set_bold(format);
  format_set_font_color(format, header_ground);
  return format;
}

lxw_format* Styles::note() {
  lxw_format*& format = made_["note"];
  if (format != nullptr) return format;
  format = workbook_add_format(book_);
  format_set_font_name(format, "Arial");
  format_set_font_size(format, 9);
  format_set_italic(format);
  format_set_font_color(format, ink);
  format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
  return format;
}

lxw_format* Styles::header() {
  bool fresh = false;
  lxw_format* format = cell("header", fresh);
  if (!fresh) return format;
  format_set_text_wrap(format);
  format_set_bold(format);
  format_set_font_color(format, LXW_COLOR_WHITE);
  format_set_bg_color(format, header_ground);
  format_set_align(format, LXW_ALIGN_VERTICAL_CENTER);
  return format;
}

lxw_format* Styles::of(Look look) {
  bool fresh = false;
  lxw_format* format = cell("look-" + std::to_string(static_cast<int>(look)), fresh);
  if (!fresh) return format;
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
  CHECK(decimals >= 0 && decimals <= 6);
  bool fresh = false;
  lxw_format* format = cell("number-" + std::to_string(decimals), fresh);
  if (!fresh) return format;
  const std::string digits = decimals == 0 ? "#,##0" : "#,##0." + std::string(static_cast<std::size_t>(decimals), '0');
  format_set_num_format(format, digits.c_str());
  format_set_align(format, LXW_ALIGN_RIGHT);
  format_set_indent(format, 1);
  return format;
}

lxw_format* Styles::time(std::optional<int> offset_minutes) {
  const std::string offset = offset_minutes ? " \"" + offset_text(*offset_minutes) + "\"" : "";
  bool fresh = false;
  lxw_format* format = cell("time" + offset, fresh);
  if (!fresh) return format;
  format_set_num_format(format, ("yyyy-mm-dd hh:mm" + offset).c_str());
  format_set_font_size(format, 9);
  // A date that is wider than its column is shown small, never as a row of #.
  format_set_shrink(format);
  return format;
}

lxw_format* Styles::link() {
  bool fresh = false;
  lxw_format* format = cell("link", fresh);
  if (!fresh) return format;
  format_set_text_wrap(format);
  format_set_font_color(format, link_ink);
  format_set_underline(format, LXW_UNDERLINE_SINGLE);
  return format;
}

}  // namespace trayproof::workbook
