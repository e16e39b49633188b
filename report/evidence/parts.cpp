#include "report/evidence/parts.h"

#include <algorithm>

#include "ledger/words/words.h"

namespace trayproof::evidence {

using markup::element;
using markup::Element;
using markup::Markup;

void FactList::add(std::string_view key, std::string_view value) {
  if (value.empty()) return;
  list_.inside(element("dt", say(key))).inside(element("dd", value));
}

Table::Table(std::vector<std::string> heads) : heads_(std::move(heads)) {
  Element row("tr");
  for (const std::string& head : heads_) row.inside(element("th", head));
  head_.inside(row);
}

void Table::row(const std::vector<std::string>& cells) {
  Element row("tr");
  for (std::size_t i = 0; i < cells.size(); ++i)
    row.inside(Element("td").with("data-head", heads_[i]).text(cells[i].empty() ? say("pack.not-recorded") : cells[i]));
  body_.inside(row);
}

Markup Table::markup() const { return Element("table").inside(head_).inside(body_).markup(); }

Result<void> add_step(std::vector<Step>& steps, const Telling& telling, const gaps::Record& record) {
  TRY_LET(auto says, telling.sentence(record.seq));
  steps.push_back({record.at.at, record.seq, std::string(record.by), std::move(says)});
  return {};
}

Markup steps_list(std::vector<Step> steps, const Telling& telling) {
  std::sort(steps.begin(), steps.end(),
            [](const Step& a, const Step& b) { return a.at != b.at ? a.at < b.at : a.seq < b.seq; });
  const auto same = [](const Step& a, const Step& b) { return a.seq == b.seq; };
  steps.erase(std::unique(steps.begin(), steps.end(), same), steps.end());
  Element list("ol");
  list.with("class", "steps");
  for (const Step& step : steps) {
    Element item("li");
    item.inside(Element("span").with("class", "when").text(telling.stamp(step.at)));
    item.text(" " + say("pack.by", {{"by", step.by}}) + " ");
    item.inside(seq_links({step.seq}));
    item.inside(Element("br")).text(step.says);
    list.inside(item);
  }
  return list.markup();
}

}  // namespace trayproof::evidence
