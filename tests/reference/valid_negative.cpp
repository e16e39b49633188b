#include "tests/reference/valid_negative.h"

namespace trayproof::reference {
namespace {

std::optional<std::string> lot_of_reading(const Facts& facts, const Happening& reading) {
  if (auto lot = reading.text("lot")) return lot;
  // The definition is silent: a reading that names no lot has that of the `biological-placed` with the same
  // `biological` and load; of several, the one placed last.
  const auto biological = reading.text("biological");
  if (!biological) return std::nullopt;
  const Happening* placed = nullptr;
  for (const Happening& event : facts.events) {
    if (event.kind != "biological-placed" || !event.names("biological", *biological)) continue;
    if (event.text("load") != reading.text("load")) continue;
    if (placed == nullptr || placed->at.written.instant <= event.at.written.instant) placed = &event;
  }
  if (placed == nullptr) return std::nullopt;
  return placed->text("lot");
}

bool incubated_long_enough(const Facts& facts, const Happening& reading, const Happening* supply) {
  // "incubated at least the hours of its lot (`read_hours`), else of the SOP (a stated `hours` is needed only where one
  // of them states a minimum)" The definition is silent: the edition is the one in force at the reading, like every
  // other limit.
  std::optional<double> minimum;
  if (supply != nullptr) minimum = supply->number("read_hours");
  const sop::Edition* edition = facts.editions.at(reading.at.written.instant);
  if (!minimum && edition != nullptr) minimum = edition->sop.biological_hours;
  if (!minimum) return true;
  const auto hours = reading.number("hours");
  return hours && *hours >= *minimum;
}

bool in_date(const Facts& facts, const Happening& reading, const Happening* supply) {
  // "its lot, if known, in date on the day of reading (facility's zone, last day included)"
  // The definition is silent: a lot that was never received, or received without an expiry, is not known to be out of
  // date. A coarse reading is in date only when the whole of its interval is.
  if (supply == nullptr) return true;
  const auto expires = parse_date(supply->text("expires").value_or(""));
  if (!expires) return true;
  return facts.zone.civil(reading.at.span.latest).date <= *expires;
}

bool is_valid_negative(const Facts& facts, const Load& load, const Happening& reading) {
  if (reading.kind != "biological-read" || !reading.names("load", load.id)) return false;
  // "A `biological-read` that is negative, with control growth"; "an unknown `result` or `control` never makes a valid
  // negative"
  if (!reading.names("result", "negative") || !reading.names("control", "growth")) return false;
  const auto lot = lot_of_reading(facts, reading);
  const Happening* supply = nullptr;
  if (lot) supply = facts.definition("supply-received", "lot", *lot, reading.at.written.instant);
  return incubated_long_enough(facts, reading, supply) && in_date(facts, reading, supply);
}

bool has_positive(const Facts& facts, const Load& load) {
  for (const Happening& event : facts.events) {
    if (event.kind == "biological-read" && event.names("load", load.id) && event.names("result", "positive"))
      return true;
  }
  return false;
}

}  // namespace

std::vector<const Load*> valid_negatives_for(const Facts& facts, const Load& subject) {
  std::vector<const Load*> found;
  for (const Load& load : facts.loads) {
    // "its own readings never bound its window"
    if (load.id == subject.id || !load.start) continue;
    // "on a load of the same equipment and the same method as the subject's"
    if (load.equipment != subject.equipment || load.method != subject.method) continue;
    // "its load ended and complete and not rejected (latest decision)"
    if (!load.complete || load.rejected()) continue;
    // "and no reading of that load, earlier or later, positive"
    if (has_positive(facts, load)) continue;
    for (const Happening& event : facts.events) {
      if (!is_valid_negative(facts, load, event)) continue;
      found.push_back(&load);
      break;
    }
  }
  return found;
}

}  // namespace trayproof::reference
