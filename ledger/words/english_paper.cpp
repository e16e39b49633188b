#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> paper() {
  static constexpr Word words[] = {
      {"paper.not-drawn", "the sheet could not be drawn: {found}"},
      {"paper.page", "page {page} of {pages}"},
      {"paper.foot",
       "{facility} · data as of {as_of} ({zone}) · ledger: {size} {size|entry|entries}, head {head} · {program}"},
      {"paper.judged-by", "Judged by"},
      {"paper.case", "Procedure {procedure}: what was used, and what it rests on"},
      {"paper.load", "Load {load}"},
      {"paper.recall", "Recall {recall}"},
      {"paper.register", "{facility}: register of reprocessing, {period}"},
      {"paper.missing-case", "no procedure {id} stands in the record"},
      {"paper.missing-load", "no load {id} stands in the record"},
      {"paper.missing-recall", "no recall {id} was opened"},
      {"paper.what-was-used", "What was used"},
      {"paper.pack", "Pack {pack}, set {set}"},
      {"paper.no-gaps", "None found in the record. What was not recorded, or has no limit, was not checked."},
      {"paper.used-for", "Used for"},
      {"paper.not-used", "No use of a pack of this load is recorded."},
      {"paper.curve", "Its curve"},
      {"paper.read-temperature", "Temperature as read"},
      {"paper.read-pressure", "Gauge pressure as read"},
      {"paper.read-hold", "Hold as read"},
      {"paper.readings", "As read"},
      {"paper.three-readings", "{temperature}, {pressure} gauge, {hold}"},
      {"paper.packs-to-fetch", "Packs, and what became of them"},
      {"paper.people-reached", "Procedures that they reached"},
      {"paper.standing", "Stands"},
      {"paper.outcome", "Outcome"},
      {"paper.initials", "Initials"},
      {"paper.list-gone", "The list that opened this recall is not at hand: it was removed on request."},
      {"paper.register-cases", "Procedures"},
      {"paper.register-loads", "Loads"},
      {"paper.number", "No."},
      {"paper.checked-by", "Looked through by"},
      {"paper.not-closed", "not yet"},
      {"paper.handled-only", "handled only"},
      {"paper.put-on-since", "put on the list since"},
      {"paper.closed-by", "Closed by"},
      {"paper.second", "Second person"},
      {"paper.month-by", "Month looked through by"},
      {"paper.on", "On"},
      {"paper.evidence-only",
       "This sheet tells what the recorded evidence meets, misses or leaves open. It does not replace the facility's "
       "procedures, local rules and licensed practice."},
  };
  return words;
}

}  // namespace trayproof::english
