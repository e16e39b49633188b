// The form of any kind of event, made from the one table of kinds: what is asked, as which field, with what may be
// chosen. Works without a script. docs/desk.md, "Recording".
#pragma once

#include <map>
#include <string>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/events/kinds.h"
#include "ledger/events/refusal.h"
#include "ledger/text/json.h"
#include "report/desk/fields.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

// What the record knows of things that a field may name, most likely first: id, and what to say beside it.
struct Known {
  std::string id;
  std::string says;
};
struct Suggestions {
  std::map<std::string, std::vector<Known>, std::less<>> by_field;  // typed or chosen
  std::map<std::string, std::vector<Known>, std::less<>> to_tap;    // shown whole, each to be tapped
};

struct KindForm {
  const events::Kind& kind;
  const Fields& values;             // typed before, or from a link
  const events::Refusals& refused;  // why it was not taken
  const Suggestions& known;
  // Of fields with patients' numbers that a correction leaves as they are: how many. Their numbers are not shown.
  std::map<std::string, std::size_t, std::less<>> kept = {};
  bool several = false;  // packs, each of which becomes an event of its own (several.h)
};

// Everything that stands inside the <form>, but for its button.
markup::Markup fields_of(const KindForm& form);
// The refusals in one list at the top, each a link to its field; empty where there is none.
markup::Markup refusals_of(const KindForm& form);

// "Indicator lot" for indicator_lot; of an element of a list its list's.
std::string label_of(std::string_view field);

// The ids in a text area: apart by ends of lines, blanks, commas or semicolons.
std::vector<std::string> ids_in(std::string_view typed);

// What such a form gives, as a recorder gives it: times in the facility's zone get their offset, numbers are
// read as typed_number.h has it. What cannot be read as its field's type stays as typed, and is refused by the ledger
// with its field's name.
json::Value event_of(const events::Kind& kind, const Fields& given, const Zone& zone, Instant now);

// Where a number was refused for a comma that may be either, what to write in its place.
events::Refusals with_commas_told(events::Refusals refused, const events::Kind& kind, const Fields& given);

// The other way, for a form that corrects an entry. Patients' numbers are not among them. Texts that stand beside the
// chain are shown where the event has them in place of their stand-ins.
Fields fields_from(const events::Kind& kind, const json::Value& event, const Zone& zone);

}  // namespace trayproof::desk
