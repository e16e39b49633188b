#include "report/picture/page.h"

#include "ledger/base/number.h"
#include "report/picture/labels.h"

namespace trayproof::picture {

using markup::Element;
using markup::Markup;

std::vector<std::string> wrapped(std::string_view text, double size) {
  std::vector<std::string> lines;
  std::string line;
  while (!text.empty()) {
    const std::size_t blank = text.find(' ');
    const std::string word(text.substr(0, blank));
    text.remove_prefix(blank == std::string_view::npos ? text.size() : blank + 1);
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && text_width(longer, size) > right_edge - 8) {
      lines.push_back(std::move(line));
      line = word;
    } else {
      line = longer;
    }
  }
  if (!line.empty()) lines.push_back(std::move(line));
  return lines;
}

Element svg_of(double height) {
  Element root("svg");
  root.with("xmlns", "http://www.w3.org/2000/svg")
      .with("viewBox", "0 0 480 " + rounded(height, 0))
      .with("font-family", "DejaVu Sans, Verdana, Arial, sans-serif")
      .with("role", "img");
  return root;
}

Markup white_paper(double height) {
  return Element("rect").with("width", page_width).with("height", rounded(height, 0)).with("fill", "#fff").markup();
}

std::string svg_page(double height, const std::string& words, const Markup& drawing) {
  Element root = svg_of(height);
  root.with("width", "100%").with("style", "max-width:180mm").inside(markup::element("title", words));
  root.inside(white_paper(height)).inside(drawing);
  return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + root.markup().bytes() + "\n";
}

}  // namespace trayproof::picture
