#include "report/review/chain.h"

#include <algorithm>

#include "ledger/events/kinds.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/gaps/biologicals.h"
#include "report/gaps/looking.h"

namespace trayproof::review {
namespace {

std::string minutes_text(double minutes, std::string_view key) {
  return say(key, {{"minutes", number_here(minutes, 1)}});
}

// "inside pass"; a strip whose place is not recorded is named by its result alone.
std::string strip_text(const gaps::Indicator& strip) {
  const std::string where(spelled_here(strip.record->text("where")));
  const std::string result = strip.result.empty() ? say("review.no-result") : std::string(spelled_here(strip.result));
  return where.empty() ? result : where + " " + result;
}

// A reading as people say it; one that proves nothing, or of which that cannot be told, says so.
std::string reading_text(const Material& material, const gaps::Biological& reading) {
  const gaps::Record& read = *reading.record;
  const std::string result = read.text("result").empty() ? say("review.no-result") : std::string(read.text("result"));
  const std::string day = material.day(read.at.at);
  const gaps::Told is_void = gaps::void_of(material.facts, reading).is;
  const bool grew = read.text("result") == "positive";
  const std::string_view key = grew || is_void == gaps::Told::no ? "review.biological-read"
                               : is_void == gaps::Told::yes      ? "review.biological-void"
                                                                 : "review.biological-open";
  return say(key, {{"result", result}, {"day", day}});
}

// Where the load stands between the valid negatives of its machine: what a positive would reach.
std::string bounds_text(const ValidNegatives::Around& around) {
  if (around.before == nullptr && around.after == nullptr) return say("review.biological-no-bound");
  if (around.after == nullptr) return say("review.biological-since", {{"before", around.before->load}});
  if (around.before == nullptr) return say("review.biological-until", {{"after", around.after->load}});
  return say("review.biological-between", {{"before", around.before->load}, {"after", around.after->load}});
}

}  // namespace

std::string verdict_of(const gaps::Load& load) {
  std::string worst;
  for (const gaps::Curve* curve : load.curves) {
    const std::string one = curve->verdict.empty() ? "cannot-tell" : curve->verdict;
    if (worst.empty() || one == "not-reached" || (one == "cannot-tell" && worst == "reached")) worst = one;
  }
  return worst;
}

std::optional<double> curve_hold_minutes(const gaps::Load& load) {
  std::optional<double> least;
  for (const gaps::Curve* curve : load.curves) {
    const auto minutes = gaps::curve_part(*curve, "hold", "minutes");
    if (minutes && (!least || *minutes < *least)) least = minutes;
  }
  return least;
}

std::optional<double> lowest_f0(const gaps::Load& load) {
  std::optional<double> least;
  for (const gaps::Curve* curve : load.curves) {
    const auto f0 = gaps::curve_number(*curve, "f0_low");
    if (f0 && (!least || *f0 < *least)) least = f0;
  }
  return least;
}

std::string hold_of(const gaps::Load& load) {
  if (const auto minutes = curve_hold_minutes(load)) return minutes_text(*minutes, "review.hold-curve");
  if (load.ended == nullptr) return {};
  if (const auto minutes = load.ended->number("hold_min")) return minutes_text(*minutes, "review.hold-read");
  const bool by_times = events::is_chemical(load.method) || load.method == "boiling" || load.method == "steaming";
  if (!by_times || load.started == nullptr) return {};
  return minutes_text(gaps::between(load.start(), load.end(), minute_ms), "review.hold-times");
}

std::string indicators_of(const gaps::Load& load, const gaps::Pack& pack) {
  std::vector<std::string> items;
  for (const gaps::Indicator* strip : pack.indicators) {
    const bool here = std::find(strip->loads.begin(), strip->loads.end(), &load) != strip->loads.end();
    if (here) items.push_back(strip_text(*strip));
  }
  for (const gaps::Indicator* strip : load.indicators) {
    if (strip->pack.empty()) items.push_back(say("review.load-strip", {{"what", strip_text(*strip)}}));
  }
  return joined(items, ", ");
}

std::string indicator_counts(const gaps::Load& load) {
  std::map<std::string, std::int64_t> counts;
  for (const gaps::Indicator* strip : load.indicators) ++counts[strip_text(*strip)];
  std::vector<std::string> items;
  for (const auto& [what, count] : counts) items.push_back(what + " " + std::to_string(count));
  return joined(items, ", ");
}

std::string biological_of(const Material& material, const gaps::Load& load) {
  std::vector<std::string> items;
  for (const gaps::Biological* reading : load.biologicals) items.push_back(reading_text(material, *reading));
  if (items.empty() && !load.placed.empty()) items.push_back(say("review.biological-unread"));
  if (!items.empty()) return joined(items, ", ");
  if (!load.has_time()) return {};
  const auto& methods = material.facts.sop_at(load.start()).biological_methods;
  if (methods && !gaps::holds_text(*methods, load.method)) return say("review.none-asked");
  return bounds_text(material.negatives.around(load));
}

bool decision_asked(const Material& material, const gaps::Load& load) {
  if (!load.has_time() || load.method.empty()) return true;
  return gaps::holds_text(material.facts.sop_at(load.start()).release_methods, load.method);
}

std::string decision_of(const Material& material, const gaps::Load& load, const gaps::When& used) {
  if (load.decisions.empty()) {
    return decision_asked(material, load) ? std::string() : say("review.none-asked");
  }
  std::vector<std::string> items;
  for (const gaps::Record* decision : load.decisions) {
    const bool released = decision->kind->name == "load-released";
    std::string item = say(released ? "review.released" : "review.rejected",
                           {{"at", material.stamp(decision->at.at)}, {"by", decision->by}});
    if (gaps::later(decision->at, used) == gaps::Told::yes) item += say("review.after-use");
    items.push_back(std::move(item));
  }
  return joined(items, ", ");
}

std::string soaked_in(const gaps::Pack& pack) {
  if (!pack.told_apart) return say("review.not-told-apart");
  std::vector<std::string> items;
  for (const gaps::TurnStep& step : pack.turn) {
    if (step.record->kind->name == "soaked") items.emplace_back(step.record->text("solution"));
  }
  return joined(items, ", ");
}

}  // namespace trayproof::review
