#include "report/gaps/facts.h"

#include <algorithm>

namespace trayproof::gaps {
namespace {

// Of the definitions of one id: the last not later than `at`, else the first.
const Record* in_force(const ById<std::vector<const Record*>>& all, std::string_view id, Instant at) {
  const auto found = all.find(id);
  if (found == all.end() || found->second.empty()) return nullptr;
  const Record* best = found->second.front();
  for (const Record* one : found->second) {
    if (one->at.at <= at) best = one;
  }
  return best;
}

}  // namespace

Told Load::released_by(const When& time) const {
  Told answer = Told::no;
  for (const Record* decision : decisions) {
    const Told after = later(decision->at, time);
    if (after == Told::yes) continue;
    const Told released = told(decision->kind->name == "load-released");
    if (after == Told::no) answer = released;
    if (after == Told::open && answer != released) answer = Told::open;
  }
  return answer;
}

Told Load::rejected() const {
  if (decisions.empty()) return Told::no;
  const Told last = told(decisions.back()->kind->name == "load-rejected");
  for (const Record* decision : decisions) {
    const bool other = told(decision->kind->name == "load-rejected") != last;
    // "Of two decisions on a load the latest holds": coarse times may leave open which is the latest.
    if (other && later(decision->at, decisions.back()->at) == Told::open) return Told::open;
  }
  return last;
}

Told Load::complete() const {
  if (ended == nullptr) return Told::open;
  if (const auto flag = ended->flag("complete")) return told(*flag);
  return ended->mark("complete") == Mark::not_done ? Told::no : Told::open;
}

std::vector<std::int64_t> Load::seqs() const {
  std::vector<std::int64_t> out;
  if (started != nullptr) out.push_back(started->seq);
  if (ended != nullptr) out.push_back(ended->seq);
  return out;
}

std::vector<std::int64_t> Run::seqs() const {
  std::vector<std::int64_t> out{start_seq};
  if (end_seq) out.push_back(*end_seq);
  return out;
}

const std::vector<Record>& Facts::of(std::string_view kind) const {
  static const std::vector<Record> none;
  const auto found = records.find(kind);
  return found == records.end() ? none : found->second;
}

const sop::Sop& Facts::sop_at(Instant instant) const {
  if (what_if) return *what_if;
  const sop::Edition* edition = editions.at(instant);
  CHECK(edition != nullptr);
  return edition->sop;
}

const Record* Facts::set_definition(std::string_view set, Instant at) const {
  return in_force(by_set_defined, set, at);
}

const Record* Facts::lot(std::string_view id, Instant at) const { return in_force(by_lot_received, id, at); }

std::optional<double> Facts::altitude_m(Instant at) const {
  const Record* best = nullptr;
  for (const Record& one : of("facility-described")) {
    if (best == nullptr || one.at.at <= at) best = &one;
  }
  return best == nullptr ? std::nullopt : best->number("altitude_m");
}

const Load* Facts::load(std::string_view id) const {
  const auto found = loads.find(id);
  return found == loads.end() ? nullptr : &found->second;
}

const Pack* Facts::pack(std::string_view id) const {
  const auto found = packs.find(id);
  return found == packs.end() ? nullptr : &found->second;
}

bool Facts::is_person(std::string_view id) const {
  const auto& enrolled = of("person-enrolled");
  return std::any_of(enrolled.begin(), enrolled.end(), [&](const Record& one) { return one.text("person") == id; });
}

Instant Facts::end_of(const CivilDate& date) const {
  return {zone.start_of(date_of_days(days_since_epoch(date) + 1)).ms - 1};
}

}  // namespace trayproof::gaps
