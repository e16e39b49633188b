#include "report/register/funnel_drawing.h"

#include <algorithm>
#include <cmath>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/register/funnel.h"

namespace trayproof::registry {
namespace {

using json::Value;

constexpr int volumes_drawn = 160;

std::size_t column_of(const Answer& answer, std::string_view name) {
  return static_cast<std::size_t>(std::find(answer.columns.begin(), answer.columns.end(), name) -
                                  answer.columns.begin());
}

// The funnel is steepest at its mouth: most of the volumes lie there.
std::vector<std::int64_t> volumes_between(double least, double most) {
  std::vector<std::int64_t> out;
  for (int i = 0; i <= volumes_drawn; ++i) {
    const double part = static_cast<double>(i) / volumes_drawn;
    const auto volume = static_cast<std::int64_t>(std::llround(least + (most - least) * part * part));
    if (out.empty() || volume > out.back()) out.push_back(volume);
  }
  return out;
}

std::string period_of(const Answer& answer) {
  const auto moment = [&](std::string_view name, std::string_view otherwise) {
    const auto told = answer.more.text_at(name);
    return told ? written_here(*told) : say(otherwise);
  };
  return say("district.period",
             {{"from", moment("from", "district.period-first")}, {"until", moment("until", "district.period-last")}});
}

}  // namespace

bool is_drawn(const Answer& answer) { return column_of(answer, "share") < answer.columns.size(); }

std::string title_of_drawing(const Answer& answer) {
  if (const auto rule = answer.more.text_at("rule")) return say("gaps." + std::string(*rule) + ".title");
  return say("district.sheet-coverage-" + std::string(answer.more.text_at("measure").value_or("")));
}

picture::Funnel drawing_of(const Answer& answer) {
  picture::Funnel out;
  out.title = title_of_drawing(answer);
  if (answer.more.text_at("measure")) out.lines.push_back(period_of(answer));
  std::int64_t withheld = 0;
  double least = INFINITY;
  double most = 0;
  const std::size_t name = column_of(answer, "facility");
  const std::size_t volume = column_of(answer, "of");
  const std::size_t share = column_of(answer, "share");
  const std::size_t place = column_of(answer, "place");
  for (const auto& row : answer.rows) {
    if (!row[share].is_number()) {
      ++withheld;
      continue;
    }
    out.places.push_back({.volume = row[volume].number(),
                          .share = row[share].number(),
                          .name = row[name].text(),
                          .outside = row[place].is_text() && row[place].text().ends_with("-998")});
    least = std::min(least, out.places.back().volume);
    most = std::max(most, out.places.back().volume);
  }
  for (const std::string& note : answer.notes) {
    if (note != out.title) out.lines.push_back(note);
  }
  if (withheld > 0) out.lines.push_back(say("district.not-drawn", {{"count", std::to_string(withheld)}}));
  const Value* const overall = answer.more.find("overall");
  if (overall == nullptr || !overall->number_at("share") || out.places.empty()) return out;
  out.overall = overall->number_at("share");
  const double from = std::max<double>(shown_from, std::floor(least / 2));
  for (const std::int64_t at : volumes_between(from, std::floor(most * 1.04))) {
    for (const auto& [limits, tail] : {std::pair(&out.narrow, 0.025), std::pair(&out.wide, 0.001)}) {
      const Limits one = funnel_limits(at, *out.overall, tail);
      limits->push_back({.volume = static_cast<double>(at), .low = one.low, .high = one.high});
    }
  }
  return out;
}

}  // namespace trayproof::registry
