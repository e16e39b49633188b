#include "report/proof/verification.h"

#include "importer/kept_check.h"
#include "ledger/base/check.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/proof/signatures.h"

namespace trayproof::proof {

using json::Value;

std::string_view state_of(const CheckpointFound& one) {
  switch (one.state) {
    case CheckpointFound::State::holds:
      return "holds";
    case CheckpointFound::State::unreadable:
      return "unreadable";
    case CheckpointFound::State::other_ledger:
      return "other-ledger";
    case CheckpointFound::State::not_signed:
      return "not-signed";
    case CheckpointFound::State::other_history:
      return "other-history";
    case CheckpointFound::State::older_copy:
      return "older-copy";
  }
  CHECK(false);
  return {};
}

namespace {

Result<std::optional<links::Difference>> check_tables(const Ledger& ledger) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  return tables.same_as_fresh();
}

// Kept curves are held against the exports that they were made from.
Result<void> check_curves(Ledger& ledger, Verification& found) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto faults, importer::check_kept(ledger, tables));
  for (const importer::KeptFault& one : faults) found.problems.push_back({one.curve, one.what});
  return {};
}

Value checkpoints_json(const Verification& found, const Zone& zone) {
  Value all = Value::list();
  for (const CheckpointFound& one : found.checkpoint_states) {
    Value signatures = Value::list();
    for (const log::SignatureFound& signature : one.signatures) signatures.push(signature_json(signature, zone));
    all.push(Value::object()
                 .set("size", one.head.size)
                 .set("root", hex(one.head.root))
                 .set("given", one.source == CheckpointFound::Source::outside)
                 .set("state", state_of(one))
                 .set("signatures", std::move(signatures)));
  }
  return all;
}

}  // namespace

Verification unreadable(const Error& error) {
  Verification found;
  found.problems.push_back({std::nullopt, error.sentence()});
  return found;
}

Value to_json(const Verification& found, const Zone& zone, double seconds) {
  Value problems = Value::list();
  for (const Problem& one : found.problems) {
    problems.push(Value::object().set("seq", one.seq ? Value(*one.seq) : Value()).set("what", one.what));
  }
  return Value::object()
      .set("ok", found.problems.empty())
      .set("events", found.events)
      .set("head", hex(found.head))
      .set("root", hex(found.root))
      .set("checkpoints", found.checkpoints)
      .set("problems", std::move(problems))
      .set("seconds", seconds)
      .set("checkpoint_states", checkpoints_json(found, zone));
}

Result<Verification> verify_all(Ledger& ledger, const VerifyOptions& options) {
  auto found = verify(ledger, options);
  if (!found.ok() && found.error().code() == ErrorCode::corrupt) return unreadable(found.error());
  if (!found.ok()) return found;
  // Derived tables of a record that does not hold would only repeat its faults.
  if (!found.value().problems.empty()) return found;
  TRY_LET(const auto difference, check_tables(ledger));
  if (difference) {
    const std::string where = difference->table + ": " + difference->row;
    found.value().problems.push_back({std::nullopt, say("command.derived-differ", {{"found", where}})});
  }
  if (options.depth == Depth::full) TRY(check_curves(ledger, found.value()));
  return found;
}

}  // namespace trayproof::proof
