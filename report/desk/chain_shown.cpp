// The chain as a drawing and as a table. Each row of the drawing is the way of one pack; what several ways pass through
// is one box over all of them, so that no line crosses another.
#include <array>
#include <functional>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"
#include "report/desk/chain.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

constexpr double box_width = 132;
constexpr double gap = 26;
constexpr double row_height = 46;
constexpr double head_height = 26;
constexpr std::size_t letters = 17;        // that a box holds
constexpr std::size_t small_letters = 25;  // in the type of a second line

struct Column {
  std::string_view kind;
  std::string_view head;
  std::function<const std::string&(const ChainRow&)> id, says;
};

const std::array<Column, 5>& columns() {
  static const std::string nothing;
  static const auto none = [](const ChainRow&) -> const std::string& { return nothing; };
  static const std::array<Column, 5> all = {{
      {"set", "desk.column-set", [](const ChainRow& row) -> const std::string& { return row.set; }, none},
      {"solution", "desk.column-solution", [](const ChainRow& row) -> const std::string& { return row.solution; },
       none},
      {"pack", "desk.column-pack", [](const ChainRow& row) -> const std::string& { return row.pack; }, none},
      {"load", "desk.column-load", [](const ChainRow& row) -> const std::string& { return row.load; },
       [](const ChainRow& row) -> const std::string& { return row.load_says; }},
      {"procedure", "desk.column-use", [](const ChainRow& row) -> const std::string& { return row.use; },
       [](const ChainRow& row) -> const std::string& { return row.use.empty() ? row.ended : row.use_says; }},
  }};
  return all;
}

Markup words(double x, double y, std::string_view text, std::string_view style) {
  return Element("text")
      .with("x", x)
      .with("y", y)
      .with("class", style)
      .text(shortened(text, style == "says" ? small_letters : letters))
      .markup();
}

Markup line(double from, double until, double y) {
  const std::string level = rounded(y, 1);
  const std::string path = "M" + rounded(from, 1) + " " + level + "H" + rounded(until, 1) + "m-6 -4 6 4 -6 4";
  return Element("path").with("d", path).with("class", "way").markup();
}

class Drawing {
 public:
  explicit Drawing(const Chain& chain) : chain_(chain) {}

  Markup run() {
    const double height = head_height + static_cast<double>(chain_.rows.size()) * row_height;
    const double width = left_of(columns().size() - 1) + box_width + 1;
    Element root("svg");
    root.with("viewBox", "0 0 " + rounded(width, 0) + " " + rounded(height, 0)).with("class", "chain");
    root.with("role", "group").with("aria-label", say("desk.chain-drawing"));
    for (std::size_t i = 0; i < columns().size(); ++i) {
      root.inside(words(left_of(i), 14, say(columns()[i].head), "head"));
      column(root, i);
    }
    for (std::size_t row = 0; row < chain_.rows.size(); ++row) ways(root, row);
    return root.markup();
  }

 private:
  static double left_of(std::size_t column) { return 1 + static_cast<double>(column) * (box_width + gap); }
  static double top_of(std::size_t row) { return head_height + static_cast<double>(row) * row_height; }

  bool same(std::size_t column, std::size_t a, std::size_t b) const {
    const auto& of = columns()[column].id;
    return !of(chain_.rows[a]).empty() && of(chain_.rows[a]) == of(chain_.rows[b]);
  }

  void column(Element& root, std::size_t i) const {
    for (std::size_t row = 0; row < chain_.rows.size();) {
      std::size_t end = row + 1;
      while (end < chain_.rows.size() && same(i, row, end)) ++end;
      box(root, i, row, end);
      row = end;
    }
  }

  void box(Element& root, std::size_t i, std::size_t row, std::size_t end) const {
    const Column& column = columns()[i];
    const std::string& id = column.id(chain_.rows[row]);
    const std::string& says = column.says(chain_.rows[row]);
    const double x = left_of(i);
    const double height = static_cast<double>(end - row) * row_height - 8;
    const double y = top_of(row) + 4;
    const double middle = y + height / 2;
    if (id.empty()) {
      if (!says.empty()) root.inside(words(x + 8, middle + 4, says, "says"));
      return;
    }
    const bool own = column.kind == chain_.kind && id == chain_.id;
    Element box("g");
    box.with("class", own ? "box own" : "box");
    box.inside(
        Element("rect").with("x", x).with("y", y).with("width", box_width).with("height", height).with("rx", 4.0));
    box.inside(words(x + 8, says.empty() ? middle + 4 : middle - 3, id, "id"));
    if (!says.empty()) box.inside(words(x + 8, middle + 13, says, "says"));
    box.inside(markup::element("title", id + (says.empty() ? "" : ": " + says)));
    if (own) {
      root.inside(box);
      return;
    }
    root.inside(Element("a").with("href", address_of(column.kind, id)).inside(box));
  }

  // From each box of the row to the next one that there is.
  void ways(Element& root, std::size_t row) const {
    const double y = top_of(row) + row_height / 2;
    std::optional<std::size_t> last;
    for (std::size_t i = 0; i < columns().size(); ++i) {
      const Column& column = columns()[i];
      const bool there = !column.id(chain_.rows[row]).empty();
      if (!there && (i + 1 < columns().size() || column.says(chain_.rows[row]).empty())) continue;
      if (last) root.inside(line(left_of(*last) + box_width, left_of(i), y));
      last = i;
    }
  }

  const Chain& chain_;
};

}  // namespace

Markup drawing_of(const Chain& chain) {
  return Element("div")
      .with("class", "scroll picture")
      .with("tabindex", "0")
      .with("role", "region")
      .with("aria-label", say("desk.chain-title"))
      .inside(Drawing(chain).run())
      .markup();
}

Markup table_of(const Chain& chain) {
  Table table =
      Table::of({"desk.column-set", "desk.column-solution", "desk.column-pack", "desk.column-load", "desk.column-use"});
  for (const ChainRow& row : chain.rows) {
    std::vector<Markup> cells;
    for (const Column& column : columns()) {
      const std::string& id = column.id(row);
      const std::string& says = column.says(row);
      Markup cell;
      if (!id.empty()) cell.add(thing(column.kind, id));
      if (!says.empty()) cell.add_text((id.empty() ? "" : " ") + says);
      cells.push_back(std::move(cell));
    }
    table.row(cells);
  }
  return table.markup();
}

}  // namespace trayproof::desk
