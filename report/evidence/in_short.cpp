// What the recorded evidence of the case meets, misses and leaves open, by what the record itself says and by the
// rules' findings. Nothing here says that an instrument is safe to use.
#include <map>

#include "ledger/words/words.h"
#include "report/evidence/telling.h"
#include "report/gaps/biologicals.h"
#include "report/gaps/looking.h"
#include "report/review/chain.h"

namespace trayproof::evidence {
namespace {

// More loads than this would make the summary longer than what it sums up.
constexpr std::size_t told_one_by_one = 3;

class Summary {
 public:
  explicit Summary(const Telling& telling) : telling_(telling) {}

  InShort run() {
    for (const std::string& id : telling_.belonging.loads) {
      const gaps::Load* load = telling_.facts().load(id);
      if (load != nullptr) about_load(*load);
    }
    for (const gaps::Finding* one : telling_.findings) {
      if (one->is_open() || one->severity == gaps::Severity::critical) out_.misses.push_back({one->says, one->seqs});
    }
    if (telling_.belonging.loads.size() > told_one_by_one) {
      for (auto* list : {&out_.meets, &out_.misses, &out_.open}) fold(*list);
    }
    return std::move(out_);
  }

 private:
  // One line for all loads of which the same is said, where the first of them stood.
  static void fold(std::vector<Point>& points) {
    std::vector<Point> folded;
    std::map<std::string_view, std::size_t> place;
    std::map<std::string_view, std::vector<std::string>> loads;
    for (Point& point : points) {
      if (point.together.empty()) {
        folded.push_back(std::move(point));
        continue;
      }
      loads[point.together].push_back(point.load);
      if (place.try_emplace(point.together, folded.size()).second) folded.push_back(std::move(point));
    }
    for (const auto& [together, at] : place) {
      const std::vector<std::string>& named = loads[together];
      if (named.size() == 1) continue;
      const std::string count = std::to_string(named.size());
      folded[at].says = say(together, {{"count", count}, {"loads", review::joined(named, ", ")}});
      folded[at].seqs.clear();
    }
    points = std::move(folded);
  }

  void about_load(const gaps::Load& load) {
    conditions(load);
    indicators(load);
    biologicals(load);
    decisions(load);
  }

  void conditions(const gaps::Load& load) {
    std::vector<std::int64_t> seqs = load.seqs();
    for (const gaps::Curve* curve : load.curves) {
      seqs.push_back(curve->seq);
      if (curve->judged != nullptr) seqs.push_back(curve->judged->seq);
    }
    const std::string_view by = load.curves.empty() ? "pack.by-readings" : "pack.by-curve";
    const auto told = review::reached(telling_.facts(), load);
    const auto line = [&](std::string_view key) { return say(key, {{"load", load.id}, {"by", say(by)}}); };
    if (told == gaps::Told::yes)
      out_.meets.push_back({line("pack.conditions-reached"), seqs,
                            load.curves.empty() ? "pack.many-reached-readings" : "pack.many-reached-curve", load.id});
    else if (told == gaps::Told::no)
      out_.misses.push_back({line("pack.conditions-not-reached"), seqs, "pack.many-not-reached", load.id});
    else
      out_.open.push_back({line("pack.conditions-open"), seqs, "pack.many-open", load.id});
  }

  void indicators(const gaps::Load& load) {
    Point passed{.says = {}, .seqs = {}, .together = "pack.many-strips-passed", .load = load.id};
    Point failed{.says = {}, .seqs = {}};
    for (const gaps::Indicator* strip : load.indicators) {
      Point& into = strip->result == "pass" ? passed : failed;
      into.seqs.push_back(strip->record->seq);
    }
    const auto count = [](const Point& point) { return std::to_string(point.seqs.size()); };
    if (!passed.seqs.empty()) {
      passed.says = say("pack.strips-passed", {{"load", load.id}, {"count", count(passed)}});
      out_.meets.push_back(std::move(passed));
    }
    if (!failed.seqs.empty()) {
      failed.says = say("pack.strips-failed", {{"load", load.id}, {"count", count(failed)}});
      out_.misses.push_back(std::move(failed));
    }
    if (load.indicators.empty())
      out_.open.push_back({say("pack.strips-none", {{"load", load.id}}), {}, "pack.many-strips-none", load.id});
  }

  void biologicals(const gaps::Load& load) {
    for (const gaps::Biological* reading : load.biologicals) {
      const std::string day = telling_.material.day(reading->record->at.at);
      const auto line = [&](std::string_view key) {
        return Point{say(key, {{"load", load.id}, {"day", day}}), {reading->record->seq}};
      };
      if (reading->record->text("result") == "positive")
        out_.misses.push_back(line("pack.biological-positive"));
      else if (gaps::valid_negative(telling_.facts(), *reading) == gaps::Told::yes)
        out_.meets.push_back(line("pack.biological-negative"));
      else
        out_.open.push_back(line("pack.biological-void"));
    }
    if (load.biologicals.empty() && load.has_time()) {
      const std::string told = review::biological_of(telling_.material, load);
      if (!told.empty())
        out_.open.push_back({say("pack.biological-none", {{"load", load.id}, {"told", told}}),
                             {},
                             "pack.many-biological-none",
                             load.id});
    }
  }

  void decisions(const gaps::Load& load) {
    if (load.decisions.empty()) {
      const auto& methods = telling_.facts().sop_at(load.has_time() ? load.start().at : Instant{}).release_methods;
      if (load.has_time() && gaps::holds_text(methods, load.method))
        out_.open.push_back({say("pack.decision-none", {{"load", load.id}}), {}, "pack.many-decision-none", load.id});
      return;
    }
    const gaps::Record& last = *load.decisions.back();
    const bool released = last.kind->name == "load-released";
    const bool failed = review::reached(telling_.facts(), load) == gaps::Told::no;
    const std::string_view key = !released ? "pack.rejected" : failed ? "pack.released-although" : "pack.released";
    const std::string says = say(key, {{"load", load.id}, {"at", telling_.stamp(last.at.at)}, {"by", last.by}});
    if (released && !failed)
      out_.meets.push_back({says, {last.seq}, "pack.many-released", load.id});
    else
      out_.misses.push_back({says, {last.seq}});
  }

  const Telling& telling_;
  InShort out_;
};

}  // namespace

InShort in_short(const Telling& telling) { return Summary(telling).run(); }

}  // namespace trayproof::evidence
