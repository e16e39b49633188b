#include "report/desk/several.h"

#include <algorithm>
#include <set>

#include "ledger/base/desk_limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"
#include "report/desk/kind_form.h"

namespace trayproof::desk {
namespace {

using json::Value;

// Of the sending and the pack, so that a sending that was mended and sent again is taken as far as it is new.
std::string slip_of(std::string_view slip, std::string_view pack) {
  constexpr std::size_t digits = 32;
  const auto hash = crypto::sha256({as_bytes("trayproof/several/1\n"), as_bytes(slip), as_bytes("\n"), as_bytes(pack)});
  return hex(hash).substr(0, digits);
}

}  // namespace

bool takes_several(const events::Kind& kind) {
  return kind.recordable() && !kind.fields.empty() && kind.fields.front().name == "pack";
}

bool is_several(const events::Kind& kind, const Fields& given) {
  return takes_several(kind) && given.find("pack.more").has_value();
}

Packs packs_in(const Fields& given, std::string_view field) {
  Packs out;
  const auto put = [&](std::string_view pack) {
    const bool there = std::find(out.packs.begin(), out.packs.end(), pack) != out.packs.end();
    auto& list = there ? out.twice : out.packs;
    if (!there || std::find(list.begin(), list.end(), pack) == list.end()) list.emplace_back(pack);
  };
  const std::string more = std::string(field) + ".more";
  for (const auto& [name, value] : given.all()) {
    if (name != field && name != more) continue;
    for (const std::string& pack : ids_in(value)) put(pack);
  }
  return out;
}

Result<std::vector<GivenEvent>> events_of_several(Record::Reader& reader, const events::Kind& kind, const Fields& given,
                                                  Instant now) {
  TRY_LET(auto* tables, reader.tables());
  Value all = event_of(kind, given, tables->zone(), now);
  const std::string slip(all.text_at("slip").value_or(""));
  if (slip.empty()) return Error(ErrorCode::invalid, say("desk.slip-needed"));
  const Packs named = packs_in(given, "pack");
  std::vector<GivenEvent> out;
  for (const std::string& pack : named.packs) {
    Value event = all;
    event.set("pack", pack).set("slip", slip_of(slip, pack));
    if (!given.filled("at") && !given.filled("typed")) TRY(keep_time(reader, event));
    out.push_back({.line = static_cast<std::int64_t>(out.size()) + 1, .event = std::move(event)});
  }
  return out;
}

events::Refusals with_packs(const events::Refusals& refused, const std::vector<std::string>& packs) {
  events::Refusals told;
  std::set<std::pair<std::string, std::string>> said;
  for (const events::Refusal& one : refused) {
    const auto alike = std::count_if(refused.begin(), refused.end(), [&](const events::Refusal& other) {
      return other.field == one.field && other.why == one.why;
    });
    const bool of_all = one.field != "pack" && static_cast<std::size_t>(alike) == packs.size();
    const auto place = static_cast<std::size_t>(one.line) - 1;
    if (of_all || place >= packs.size()) {
      if (said.emplace(one.field, one.why).second) told.push_back({0, one.field, one.why});
      continue;
    }
    // What holds a patient's number is told by its place: a refusal repeats no number.
    const bool number = one.why.find(say("refused.names-patient")) != std::string::npos;
    const std::string named = number ? say("form.of-place", {{"place", std::to_string(place + 1)}}) : packs[place];
    told.push_back({0, one.field, say("form.of-pack", {{"pack", named}, {"why", one.why}})});
  }
  return told;
}

Result<void> keep_time(Record::Reader& reader, Value& event) {
  const auto slip = event.text_at("slip");
  if (!slip) return {};
  TRY_LET(auto rows, reader.ledger().file().database().prepare("SELECT seq FROM entries WHERE slip = ?"));
  rows.bind(1, *slip);
  TRY_LET(const bool there, rows.step());
  if (!there) return {};
  TRY_LET(const auto entry, reader.ledger().entry(rows.integer(0)));
  TRY_LET(const auto first, json::parse(entry.bytes));
  if (const auto at = first.text_at("at")) event.set("at", *at);
  return {};
}

}  // namespace trayproof::desk
