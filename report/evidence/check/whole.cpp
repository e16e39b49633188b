#include "report/evidence/check/whole.h"

#include "ledger/base/limits.h"
#include "ledger/words/words.h"
#include "report/evidence/check/entry_walk.h"
#include "report/evidence/check/format.h"
#include "report/evidence/check/references.h"

namespace trayproof::evidence {

WholeFound walk_whole(MemberReader& lines, const WholeAsked& asked, Problems& problems) {
  WholeFound found;
  EntryWalk walk(whole_member, EntryWalk::Extent::whole, problems);
  log::Frontier frontier;
  std::size_t same = 0;
  while (true) {
    const auto line = lines.line(limits::pack_line_bytes);
    if (!line.ok()) problems.add(whole_member, line.error().sentence());
    if (!line.ok() || !line.value()) break;
    const Entry* const entry = walk.take(*line.value());
    if (!entry) break;
    frontier.add(entry->hash);
    if (frontier.size() == asked.kept_size) found.kept_root = frontier.root();
    const auto given = asked.given.find(entry->seq);
    const std::string seq = std::to_string(entry->seq);
    if (given != asked.given.end()) {
      ++same;
      if (given->second != entry->hash) problems.add(whole_member, say("evidence.other-entry", {{"seq", seq}}));
    } else if (names(entry->event(), asked.subject_kind, asked.subject_id)) {
      problems.add(entries_member, say("evidence.left-out", {{"seq", seq}}));
    }
  }
  walk.finish();
  found.entries = walk.entries();
  if (same != asked.given.size()) problems.add(whole_member, say("evidence.not-in-whole"));
  if (frontier.size() != asked.head.size || frontier.root() != asked.head.root)
    problems.add(whole_member, say("evidence.other-root", {{"size", std::to_string(asked.head.size)}}));
  return found;
}

}  // namespace trayproof::evidence
