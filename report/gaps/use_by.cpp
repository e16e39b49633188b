#include "report/gaps/use_by.h"

#include "ledger/events/kinds.h"

namespace trayproof::gaps {
namespace {

// The label that the pack was stored with since that load, if any.
bool take_stored(const Pack& pack, const std::vector<const Load*>& loads, const When& time, UseBy& out) {
  bool found = false;
  for (const Move& move : pack.moves) {
    if (!move.is("pack-stored")) continue;
    const Told counts = !later(move.record->at, time) && same_loads(move.loads, loads);
    if (counts == Told::no) continue;
    const bool says_nothing = !move.use_by && move.record->mark("use_by") == Mark::none;
    if (says_nothing) continue;
    found = true;
    out = {};
    out.unknown = counts == Told::open || !move.use_by;
    out.seqs = {move.record->seq};
    if (move.use_by) out.ends = {When::exactly(*move.use_by)};
  }
  return found;
}

}  // namespace

UseBy use_by(const Facts& facts, const Pack& pack, const std::vector<const Load*>& loads, const When& time) {
  UseBy out;
  if (take_stored(pack, loads, time, out)) return out;
  if (is_from_elsewhere(pack)) {
    out.seqs = {pack.received->seq};
    if (pack.use_by) out.ends = {When::exactly(*pack.use_by)};
    out.unknown = !pack.use_by;
    return out;
  }
  out.unknown = loads.empty();
  const sop::Sop& sop = facts.sop_at(time);
  for (const Load* load : loads) {
    add(out.seqs, load->seqs());
    if (load->method.empty()) {
      out.unknown = true;
    } else if (events::only_disinfects(load->method)) {
      if (sop.shelf_disinfected_days) out.ends.push_back(after(load->end(), *sop.shelf_disinfected_days, day_ms));
      out.not_stated = !sop.shelf_disinfected_days;
    } else {
      const auto life = sop.shelf.find(std::string(pack.counted_wrap()));
      out.not_stated = life == sop.shelf.end();
      if (life != sop.shelf.end() && life->second.days)
        out.ends.push_back(after(load->end(), *life->second.days, day_ms));
    }
  }
  return out;
}

Told is_past(const UseBy& limit, const When& time) {
  if (limit.unknown || limit.ends.empty()) return limit.unknown ? Told::open : Told::no;
  const Told first = later(time, limit.ends.front());
  for (const When& end : limit.ends) {
    if (later(time, end) != first) return Told::open;
  }
  return first;
}

}  // namespace trayproof::gaps
