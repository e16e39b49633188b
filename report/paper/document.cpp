#include "report/paper/document.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/paper/ink.h"
#include "report/picture/draw.h"

namespace trayproof::paper {
namespace {

// A4 in points.
constexpr double long_side = 841.89;
constexpr double short_side = 595.28;
constexpr double margin = 40;
constexpr double foot_room = 34;
constexpr double body = 9;
constexpr double small = 7.5;
constexpr double smallest = 5.5;
constexpr double cell_pad = 3;

class Pages {
 public:
  // `total` is how many pages there will be; 0 while they are counted.
  Pages(cairo_t* pen, const Document& document, std::size_t total)
      : pen_(pen),
        document_(document),
        total_(total),
        width_(document.landscape ? long_side : short_side),
        height_(document.landscape ? short_side : long_side) {}

  std::size_t run() {
    begin_page();
    for (std::size_t i = 0; i < document_.parts.size(); ++i) {
      const auto* heading = std::get_if<Heading>(&document_.parts[i]);
      const auto* drawing = i + 1 < document_.parts.size() ? std::get_if<Drawing>(&document_.parts[i + 1]) : nullptr;
      if (heading != nullptr && drawing != nullptr) need(height_of_heading(*heading) + measured(*drawing).height);
      std::visit([&](const auto& one) { put(one); }, document_.parts[i]);
    }
    cairo_show_page(pen_);
    return page_;
  }

 private:
  double inner() const { return width_ - 2 * margin; }
  double bottom() const { return height_ - margin - foot_room; }

  void begin_page() {
    ++page_;
    cairo_set_source_rgb(pen_, 0, 0, 0);
    y_ = margin;
    const bool first = page_ == 1;
    const Layout title =
        set(pen_, document_.title, {.size = first ? 15.0 : 9.0, .weight = Weight::bold, .width = inner() - 90});
    show(pen_, title.get(), margin, y_);
    if (!document_.mark.empty()) {
      const Layout mark = set(pen_, document_.mark, {.size = first ? 15.0 : 11.0, .weight = Weight::bold});
      show(pen_, mark.get(), width_ - margin - width_of(mark.get()), y_);
    }
    y_ += height_of(title.get()) + 5;
    rule(y_, 1);
    y_ += 8;
    foot();
  }

  void foot() {
    const double at = bottom() + 8;
    rule(at, 0.5);
    const std::string number = say("paper.page", {{"page", std::to_string(page_)}, {"pages", std::to_string(total_)}});
    const Layout right = set(pen_, number, {.size = small});
    show(pen_, right.get(), width_ - margin - width_of(right.get()), at + 3);
    // On one line: smaller where a language needs more room.
    const double room = inner() - width_of(right.get()) - 20;
    const double natural = width_of(set(pen_, document_.foot, {.size = small}).get());
    const double size = std::clamp(small * room / natural, smallest, small);
    show(pen_, set(pen_, document_.foot, {.size = size, .width = room}).get(), margin, at + 3);
  }

  void rule(double y, double width) {
    cairo_move_to(pen_, margin, y);
    cairo_line_to(pen_, width_ - margin, y);
    cairo_set_line_width(pen_, width);
    cairo_stroke(pen_);
  }

  // Another page where that much does not fit on this one.
  void need(double height) {
    if (y_ + height <= bottom()) return;
    cairo_show_page(pen_);
    begin_page();
  }

  double height_of_heading(const Heading& heading) {
    return height_of(set(pen_, heading.text, {.size = 11, .weight = Weight::bold, .width = inner()}).get()) + 12;
  }

  void put(const Heading& heading) {
    const Layout layout = set(pen_, heading.text, {.size = 11, .weight = Weight::bold, .width = inner()});
    need(height_of(layout.get()) + 40);
    y_ += 8;
    show(pen_, layout.get(), margin, y_);
    y_ += height_of(layout.get()) + 4;
  }

  void put(const Paragraph& paragraph) {
    const Layout layout =
        set(pen_, paragraph.text,
            {.size = body, .weight = paragraph.strong ? Weight::bold : Weight::normal, .width = inner()});
    need(height_of(layout.get()));
    show(pen_, layout.get(), margin, y_);
    y_ += height_of(layout.get()) + 4;
  }

  void put(const Lines& lines) {
    const double names = std::min(150.0, inner() / 3);
    for (const auto& [name, value] : lines.lines) {
      const Layout left = set(pen_, name, {.size = body, .width = names - 8});
      const Layout right = set(pen_, value, {.size = body, .weight = Weight::bold, .width = inner() - names});
      const double height = std::max(height_of(left.get()), height_of(right.get()));
      need(height);
      show(pen_, left.get(), margin, y_);
      show(pen_, right.get(), margin + names, y_);
      y_ += height + 2;
    }
    y_ += 4;
  }

  double row_height(const Table& table, const std::vector<std::string>& row, Weight weight) {
    double height = 0;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const Layout cell =
          set(pen_, row[i], {.size = small, .weight = weight, .width = table.shares[i] * inner() - 2 * cell_pad});
      height = std::max(height, height_of(cell.get()));
    }
    return height + 2 * cell_pad;
  }

  void table_row(const Table& table, const std::vector<std::string>& row, Weight weight, double height) {
    double x = margin;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const double width = table.shares[i] * inner();
      if (weight == Weight::bold) {
        cairo_set_source_rgb(pen_, 0.9, 0.9, 0.9);
        cairo_rectangle(pen_, x, y_, width, height);
        cairo_fill(pen_);
        cairo_set_source_rgb(pen_, 0, 0, 0);
      }
      cairo_set_line_width(pen_, 0.5);
      cairo_rectangle(pen_, x, y_, width, height);
      cairo_stroke(pen_);
      show(pen_, set(pen_, row[i], {.size = small, .weight = weight, .width = width - 2 * cell_pad}).get(),
           x + cell_pad, y_ + cell_pad);
      x += width;
    }
    y_ += height;
  }

  // The heads stand on every page that the table reaches. A row that is higher than a page is cut where the page ends.
  void put(const Table& table) {
    const double head = row_height(table, table.heads, Weight::bold);
    const double most = bottom() - margin - 60 - head;
    need(head + 30);
    table_row(table, table.heads, Weight::bold, head);
    for (const auto& row : table.rows) {
      CHECK(row.size() == table.heads.size());
      const double height = std::min(row_height(table, row, Weight::normal), most);
      if (y_ + height > bottom()) {
        need(height);
        table_row(table, table.heads, Weight::bold, head);
      }
      table_row(table, row, Weight::normal, height);
    }
    y_ += 8;
  }

  struct Measured {
    double scale = 1;
    double height = 0;
  };
  // Fits a page below a heading.
  Measured measured(const Drawing& drawing) {
    const Surface nowhere(cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, nullptr));
    const Pen measuring(cairo_create(nowhere.get()));
    InkCanvas canvas(measuring.get());
    const double units = picture::draw_on(canvas, drawing.curve);
    const double scale = std::min(1.0, (bottom() - margin - 90) / units);
    return {scale, units * scale};
  }

  void put(const Drawing& drawing) {
    const auto [scale, height] = measured(drawing);
    need(height);
    cairo_save(pen_);
    cairo_translate(pen_, margin, y_);
    cairo_scale(pen_, scale, scale);
    InkCanvas canvas(pen_);
    picture::draw_on(canvas, drawing.curve);
    cairo_restore(pen_);
    y_ += height + 8;
  }

  void put(const ToSign& sign) {
    for (const std::string& name : sign.names) {
      need(30);
      y_ += 18;
      const Layout layout = set(pen_, name, {.size = body});
      show(pen_, layout.get(), margin, y_ - height_of(layout.get()) + 3);
      const double from = margin + 190;
      cairo_move_to(pen_, from, y_ + 3);
      cairo_line_to(pen_, width_ - margin, y_ + 3);
      cairo_set_line_width(pen_, 0.5);
      cairo_stroke(pen_);
      y_ += 6;
    }
    y_ += 6;
  }

  cairo_t* pen_;
  const Document& document_;
  std::size_t total_;
  double width_, height_;
  std::size_t page_ = 0;
  double y_ = 0;
};

struct Run {
  Bytes bytes;
  std::size_t pages = 0;
};

Result<Run> run(const Document& document, std::size_t total) {
  Run out;
  const double width = document.landscape ? long_side : short_side;
  const double height = document.landscape ? short_side : long_side;
  const Surface surface(cairo_pdf_surface_create_for_stream(ink::append, &out.bytes, width, height));
  // Without it the library would write the present time.
  const std::string created = format_date_time({document.created, 0});
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, created.c_str());
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, document.title.c_str());
  cairo_status_t status = CAIRO_STATUS_SUCCESS;
  {
    const Pen pen(cairo_create(surface.get()));
    out.pages = Pages(pen.get(), document, total).run();
    status = cairo_status(pen.get());
  }
  cairo_surface_finish(surface.get());
  if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS)
    return Error(ErrorCode::unavailable, say("paper.not-drawn", {{"found", cairo_status_to_string(status)}}));
  return out;
}

}  // namespace

Result<Bytes> pdf_of(const Document& document) {
  TRY_LET(const Run counted, run(document, 0));
  TRY_LET(Run drawn, run(document, counted.pages));
  return std::move(drawn.bytes);
}

}  // namespace trayproof::paper
