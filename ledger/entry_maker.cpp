#include "ledger/entry_maker.h"

#include "ledger/base/time.h"
#include "ledger/log/chain.h"

namespace trayproof {

EntryMaker::EntryMaker(std::string station, Clock& clock, const store::ChainHead& head)
    : station_(std::move(station)), clock_(clock), head_(head) {}

void EntryMaker::put_together(const Prepared& prepared, const Signing& signing) {
  const std::string& members = prepared.rendered.members;
  std::string& bytes = made_.bytes;
  bytes.assign(1, '{');
  std::size_t at = 0;
  const auto separate = [&] {
    if (bytes.size() > 1 && bytes.back() != ',') bytes += ',';
  };
  const auto members_up_to = [&](std::size_t cut) {
    if (cut <= at) return;
    const std::size_t from = members[at] == ',' ? at + 1 : at;
    separate();
    bytes.append(members, from, cut - from);
    at = cut;
  };
  const auto add = [&](std::size_t which, std::string_view value) {
    members_up_to(prepared.rendered.cuts[which]);
    separate();
    bytes += '"';
    bytes += added_names[which];
    bytes += "\":";
    bytes += value;
  };
  const auto add_text = [&](std::size_t which, std::string_view value) {
    add(which, "\"");
    bytes += value;
    bytes += '"';
  };
  add_text(0, *signing.public_key);
  add_text(1, hex(head_.hash));
  if (const Instant now = clock_.now(); now != recorded_at_ || recorded_.empty()) {
    recorded_at_ = now;
    recorded_ = format_recorded(now);
  }
  add_text(2, recorded_);
  add(3, std::to_string(made_.seq));
  if (signing.key != nullptr && signing.from < made_.seq) add(4, std::to_string(signing.from));
  add_text(5, station_);
  add(6, "1");
  members_up_to(members.size());
  bytes += '}';
}

const MadeEntry& EntryMaker::make(const Prepared& prepared, const Signing& signing) {
  made_.seq = head_.seq + 1;
  put_together(prepared, signing);
  made_.hash = log::leaf_hash(made_.bytes);
  made_.sig.clear();
  if (signing.key != nullptr) {
    const auto signature = signing.key->sign(made_.hash);
    made_.sig.assign(signature.begin(), signature.end());
  }
  head_ = {.seq = made_.seq, .hash = made_.hash};
  return made_;
}

}  // namespace trayproof
