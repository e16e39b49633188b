#include "ledger/recall/recall.h"

#include "ledger/recall/affected.h"
#include "ledger/recall/reach.h"
#include "ledger/words/words.h"

namespace trayproof::recall {
namespace {

// Whether the tables of the whole ledger are not what the request asks about.
bool needs_its_own_tables(const Request& request, const links::Links& links) {
  if (request.known_at && *request.known_at != links.known_at()) return true;
  return request.as_of && *request.as_of < links.last_at();
}

Result<Answer> answer_from(const Request& request, links::Links& links, const sop::Editions& editions) {
  TRY_LET(const links::Snapshot snapshot, links::Snapshot::begin(links.statements()));
  TRY_LET(Answer out, compute(request, links, editions));
  Clock& clock = links.ledger().clock();
  const double began = clock.seconds();
  TRY(reread(out, links));
  out.reread_seconds = clock.seconds() - began;
  return out;
}

}  // namespace

Result<Answer> compute(const Request& request, links::Links& links, const sop::Editions& editions) {
  Clock& clock = links.ledger().clock();
  const double began = clock.seconds();
  TRY_LET(const links::Snapshot snapshot, links::Snapshot::begin(links.statements()));
  Answer out;
  out.request = request;
  out.zone = links.zone();
  out.known_at = links.known_at();
  // Nothing is left out without `as_of`, so the moment that the answer names is not before the last event.
  out.as_of = request.as_of.value_or(std::max(clock.now(), links.last_at()));
  if (const sop::Edition* edition = editions.at(out.as_of)) out.in_force = edition->sop.recall_policy;
  TRY_LET(const Affected affected, affected_by(request, links, editions));
  TRY(Reach(links, out).follow(affected));
  TRY_LET(auto* const unknown, links.statements().at("SELECT count(*) FROM unknown_events"));
  TRY(links::first_row(*unknown, [&](store::Statement& row) { out.unknown_events = row.integer(0); }));
  out.seconds = clock.seconds() - began;
  return out;
}

Result<Answer> answer(const Request& request, links::Links& links, const sop::Editions& editions) {
  if (request.known_at && (*request.known_at < 1 || *request.known_at > links.known_at())) {
    return Error(ErrorCode::invalid, say("recall.known-at", {{"found", std::to_string(*request.known_at)},
                                                             {"last", std::to_string(links.known_at())}}));
  }
  if (!needs_its_own_tables(request, links)) return answer_from(request, links, editions);
  TRY_LET(links::Links part, links::Links::derive_in_memory(links.ledger(), {request.known_at, request.as_of}));
  return answer_from(request, part, editions);
}

}  // namespace trayproof::recall
