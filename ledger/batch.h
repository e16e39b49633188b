// One append: what was given becomes prepared entries, is checked as a whole whatever the order of its lines, and is
// written in one transaction. Private to the ledger's face.
#pragma once

#include <array>
#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "ledger/base/clock.h"
#include "ledger/base/result.h"
#include "ledger/content.h"
#include "ledger/digest_index.h"
#include "ledger/entry_writer.h"
#include "ledger/events/draft.h"
#include "ledger/events/refusal.h"
#include "ledger/introductions.h"
#include "ledger/known_patients.h"
#include "ledger/ledger.h"
#include "ledger/line_reader.h"
#include "ledger/prepared.h"
#include "ledger/store/ledger_file.h"

namespace trayproof {

// What an append needs to know of its ledger.
struct Writer {
  // Whether who signs may do what; denied with the reason.
  using May = std::function<Result<void>(people::Right, const std::shared_ptr<const people::Signer>&)>;

  store::LedgerFile& file;
  const people::KeyFile& keys;
  Clock& clock;
  std::string station;
  KnownPatients& patients;
  double clock_minutes = 5;                           // allowance of the SOP in force
  std::shared_ptr<const people::Signer> signer = {};  // signs where an append names nobody
  bool station_key_in_force = false;  // the record named it so when the ledger was opened
  // What the clock would show now if it had gone on evenly since this handle last looked.
  std::optional<Instant> expected_clock;
  May may = {};
};

// The mark of the chain's end at a commit, under the station's secret.
Digest latest_mark(const people::KeyFile& keys, std::int64_t size, const Digest& hash);

class Batch {
 public:
  // Inside a transaction that the caller began: nothing may change below it.
  static Result<Batch> begin(const Writer& writer, const AppendOptions& options);

  // To be told every number that stands in what is given before the first event is read: events are read against it.
  KnownNumbers& numbers() { return writer_->patients.numbers; }
  // How the batch's events are read; complete once the numbers are.
  ReadingRules reading_rules() const;
  // One event that was given; signed by its own signer, else as the options say.
  Result<void> add_given(GivenEvent given);
  Result<void> add(ReadEvent read);
  void refuse(events::Refusal refusal);
  // The seq that the first new event gets.
  std::int64_t first_seq() const { return provisional_seq(0); }

  // Writes what was added so far already now, on a thread of its own, in the hope that nothing will be refused: the
  // transaction is rolled back when something is. From `many` events on; call it after each few.
  Result<void> write_ahead(std::size_t many);

  // What is added from now on belongs to another append of the same commit, under its own options.
  void under(const AppendOptions& options);
  // How many events were given so far, and whether one of them is refused already.
  std::size_t given() const { return outcomes_.size(); }
  bool refused() const { return !refusals_.empty(); }

  // Checks the whole, then writes what is taken. Nothing is written when something is refused and all must be good.
  Result<Appended> finish();
  // After `finish`: what became of the events given from `first` to before `last`.
  Appended part(std::size_t first, std::size_t last) const;
  // The transaction was committed.
  void committed() { writer_->patients.keep(orphans_); }

 private:
  // A key that signs in this commit: once, on its last event, and for at most 10,000 seqs at a time.
  struct Key {
    std::shared_ptr<const people::Signer> signer;  // null: the station
    std::string public_key;                        // hex
    std::int64_t unsigned_from = 0;                // first seq that no signature of it covers; 0 when there is none
  };
  // What a given event came to: a prepared entry, a repeat of an entry or of a prepared one, or nothing.
  struct Outcome {
    std::int64_t line = 0;
    std::optional<std::size_t> prepared;
    std::optional<std::int64_t> repeats_seq;
    std::optional<std::size_t> repeats_prepared;
  };

  Batch(const Writer& writer, const AppendOptions& options);

  bool passes_clock(const events::Draft& draft, std::int64_t line);
  bool passes_sop(const events::Draft& draft, std::int64_t line);
  // Some kinds are taken only from who has the right to them.
  bool passes_rights(const events::Draft& draft, std::int64_t line);
  // Whether the clock is known to be wrong, and whether it just went back or jumped.
  Result<void> check_end();
  Result<void> look_at_clock();
  // Sets the outcome and returns true when the event is a repeat or its slip is taken.
  Result<bool> settle_repeat(const events::Draft& draft, const crypto::Token& content, std::int64_t line);
  Result<bool> same_as_entry(const events::Draft& draft, std::int64_t seq);
  bool same_as_prepared(const events::Draft& draft, const Prepared& prepared);
  // Entries whose content has that digest; a large batch reads all digests once instead of asking for each.
  Result<std::vector<std::int64_t>> same_digest(const crypto::Token& content);
  BesideTheChain beside(const Prepared* prepared);
  Result<void> prepare(events::Draft draft, std::optional<Rendered> rendered, const crypto::Token& content,
                       std::int64_t line);
  Result<void> put_stand_ins(json::Value& value, std::string_view kind, Prepared& prepared);
  Result<void> put_number(json::Value& value, Prepared& prepared);
  void put_text(json::Value& value, Prepared& prepared);

  void adopt_orphans(Prepared& event);
  void orphan(Prepared& event);
  std::int64_t provisional_seq(std::size_t prepared) const;
  Result<void> undo_ahead();
  Result<void> check_keys();
  Result<void> check_whole();
  Result<void> check_correction(std::size_t index, Holdings& holdings);
  Result<void> write(Appended& report);
  Result<void> note_clock();
  std::size_t key_of(const std::shared_ptr<const people::Signer>& signer);
  // Whether a signature must stand on the prepared event that is written next.
  bool signs_here() const;
  Result<void> put(const Prepared& prepared, bool signs_here);

  const Writer* writer_;
  AppendOptions options_;
  // New patients whose event is left out; another event may name them too.
  std::unordered_map<crypto::Token, FreshPatient, crypto::TokenHash> orphans_;
  Result<void> begin_writing(EntryWriter::Thread thread);
  Result<void> write_next();
  // Before the file is read while entries are being written ahead.
  void let_writer_rest() {
    if (entry_writer_) entry_writer_->drain();
  }

  std::int64_t first_head_ = 0;  // number of events before this batch
  store::ChainHead head_;        // at the beginning, and again when everything is written
  std::unique_ptr<EntryWriter> entry_writer_;
  std::optional<Holdings> holdings_;  // made when writing ahead begins, for the check of the whole
  std::unique_ptr<Prepared> note_;    // the clock-noted that stands before the batch
  std::size_t written_ = 0;           // prepared entries handed to the writer
  std::int64_t next_seq_ = 0;         // of the entry that is put next
  std::deque<Key> keys_;              // the station's first; they never move
  std::size_t key_ = 0;               // of the event that is being added
  bool ahead_ = true;                 // whether writing ahead still has hope
  Instant last_recorded_;
  std::optional<Instant> known_good_clock_;
  std::optional<Instant> clock_was_;  // set when the clock went back or jumped since the last entry
  std::deque<Prepared> prepared_;     // its entries are large and never move
  std::vector<Outcome> outcomes_;
  std::unordered_map<std::string, std::size_t> slips_;
  DigestIndex contents_;
  std::size_t asked_ = 0;  // how often the ledger was asked for a digest
  std::optional<std::unordered_set<crypto::Token, crypto::TokenHash>> ledger_contents_;
  events::Refusals refusals_;
};

}  // namespace trayproof
