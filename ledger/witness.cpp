#include "ledger/witness.h"

#include <algorithm>
#include <limits>
#include <optional>

#include "ledger/words/words.h"

namespace trayproof {
namespace {

Error refused(std::string why) { return {ErrorCode::invalid, std::move(why)}; }

struct Kept {
  std::string bytes;
  log::Note note;
};

// The kept checkpoint of the same text.
Result<std::optional<Kept>> kept_like(const Ledger& ledger, const log::Note& note) {
  TRY_LET(const auto all, ledger.checkpoints());
  for (const std::string& bytes : all) {
    auto one = log::parse_note(bytes);
    if (one.ok() && one.value().text == note.text) return std::optional(Kept{bytes, std::move(one).value()});
  }
  return std::optional<Kept>{};
}

// For a state that is not kept here (any more): it is this ledger's when the ledger signed it and the entries lead to
// it.
Result<void> check_state(const Ledger& ledger, const log::Note& note, const log::Head& head) {
  const std::string size = std::to_string(head.size);
  TRY_LET(const auto book, ledger.key_book());
  log::VerifierKey key = ledger.ledger_key();
  constexpr auto most = static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
  const people::KnownKey* known = book.ledger_key_at(static_cast<std::int64_t>(std::min(head.size, most)));
  if (known != nullptr) from_hex(known->public_key, key.key);
  if (!log::is_signed_by(note, key)) return refused(say("witness.not-signed", {{"size", size}}));
  TRY_LET(const auto end, ledger.head());
  if (head.size > static_cast<std::uint64_t>(end.seq))
    return refused(say("witness.ahead", {{"size", size}, {"found", std::to_string(end.seq)}}));
  TRY_LET(const auto here, ledger.tree_head(static_cast<std::int64_t>(head.size)));
  if (here.root != head.root) return refused(say("witness.other-root"));
  return {};
}

}  // namespace

Result<Witnessed> take_witness(Ledger& ledger, std::string_view bytes, const std::vector<log::VerifierKey>& witnesses) {
  TRY(ledger.may_write());
  TRY_LET(const auto note, log::parse_note(bytes));
  TRY_LET(const auto checkpoint, log::parse_checkpoint(note));
  if (checkpoint.origin != ledger.origin())
    return refused(say("witness.other-ledger", {{"origin", checkpoint.origin}}));
  std::vector<log::VerifierKey> known = witnesses;
  known.push_back(ledger.ledger_key());
  std::size_t others = 0;
  for (const log::SignatureFound& one : log::signatures_of(note, known)) {
    if (one.standing == log::Standing::differs) return refused(say("witness.differs", {{"witness", one.name}}));
    if (one.name != ledger.origin()) ++others;
  }
  if (others == 0) return refused(say("witness.none"));
  TRY_LET(const auto kept, kept_like(ledger, note));
  Witnessed done{.note = {}, .head = checkpoint.head, .added = 0, .signatures = {}};
  log::Note whole = note;
  if (kept) {
    whole = kept->note;
    done.added = log::add_signatures(whole, note);
  } else {
    TRY(check_state(ledger, note, checkpoint.head));
    done.added = others;
  }
  done.note = log::to_text(whole);
  TRY(log::parse_note(done.note));  // within the limits of a note
  done.signatures = log::signatures_of(whole, known);
  TRY_LET(auto transaction, store::Transaction::begin(ledger.file().database()));
  const auto size = static_cast<std::int64_t>(checkpoint.head.size);
  if (kept) {
    TRY(ledger.file().replace_checkpoint(size, kept->bytes, done.note));
  } else {
    TRY(ledger.file().put_checkpoint(size, done.note));
  }
  TRY(transaction.commit());
  return done;
}

}  // namespace trayproof
