// Several packs in one sending: each becomes an event of its own, alike but for the pack. All are taken or none, and
// what is refused is told with its pack. Sent again, they are the same events.
#pragma once

#include <string>
#include <vector>

#include "report/desk/desk.h"

namespace trayproof::desk {

// Whether a form of that kind may name several packs: its first field is the pack that it is about.
bool takes_several(const events::Kind& kind);

// What a form names, in the order in which it came; `twice` is what came again.
struct Packs {
  std::vector<std::string> packs;
  std::vector<std::string> twice;
};
Packs packs_in(const Fields& given, std::string_view field);

// Whether it is such a form that came: it has room for more than one.
bool is_several(const events::Kind& kind, const Fields& given);

// Times are those of the first sending, where this one is a repeat.
Result<std::vector<GivenEvent>> events_of_several(Record::Reader& reader, const events::Kind& kind, const Fields& given,
                                                  Instant now);

// As fields of one form: what is wrong with every pack is said once, anything else with its pack.
events::Refusals with_packs(const events::Refusals& refused, const std::vector<std::string>& packs);

// The time of the event that was taken under that slip, in place of the present one: sent a second time it is the same
// event.
Result<void> keep_time(Record::Reader& reader, json::Value& event);

}  // namespace trayproof::desk
