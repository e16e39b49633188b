// The face of the ledger: create, open, append, read, verify. The only writer of events.
//
// What is acknowledged is durable: append returns after the commit reached the disk. A commit of unknown outcome
// poisons the handle; every later write says so until the ledger is opened again.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/clock.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "ledger/crypto/sign.h"
#include "ledger/events/draft.h"
#include "ledger/log/note.h"
#include "ledger/log/tree.h"
#include "ledger/people/key_book.h"
#include "ledger/people/key_file.h"
#include "ledger/people/roster.h"
#include "ledger/people/second.h"
#include "ledger/people/signer.h"
#include "ledger/sop/sop.h"
#include "ledger/store/ledger_file.h"
#include "ledger/text/json.h"
#include "ledger/words/language.h"

namespace trayproof {

// The end of a ledger that a new one goes on from.
struct Continued {
  std::string origin;
  log::Head head;
};

struct Creation {
  std::string title;
  std::string zone;
  std::optional<double> altitude_m;
  std::string sop_toml;
  std::string station = "station-1";
  std::optional<Continued> continues = {};
};

enum class OnRefusal {
  take_nothing,  // one refused event refuses all
  keep_good,     // the good ones are taken
};

struct AppendOptions {
  events::Giver giver = events::Giver::recorder;
  OnRefusal on_refusal = OnRefusal::take_nothing;
  // Whether the same content without a slip is the same event (files and importers) or a new one (a single entry).
  bool same_content_repeats = true;
  std::optional<std::string> default_by;  // else the signer; an event without `by` is refused when there is neither
  // Everything is checked and nothing taken: the answer tells what would be.
  bool rehearse = false;
  // Signs every event that brings no signer of its own; without one, who is signed in to the handle, else the station.
  std::shared_ptr<const people::Signer> signer;
};

// One event as given: its line in the file (0 when there is none) and its JSON.
struct GivenEvent {
  std::int64_t line = 0;
  json::Value event;
  std::shared_ptr<const people::Signer> signer = {};
};

// One of several appends that share a commit.
struct Appending {
  std::vector<GivenEvent> events;
  AppendOptions options;
  Language spoken = language();  // its refusals are said in what whoever asks speaks, whoever appends it
};

struct Appended {
  std::int64_t taken = 0;
  std::int64_t repeated = 0;
  std::int64_t first = 0;          // 0 when nothing was taken or repeated
  std::int64_t last = 0;           // of repeats only: those of the first taking
  std::vector<std::int64_t> seqs;  // of each given event in order, repeats with the first's; 0 for the refused
  events::Refusals refusals;
};

struct Writer;  // batch.h: what an append needs to know

// Where a ledger may be written: on a drive of this machine, or on a network drive too when the user says so.
enum class Drives { own, network_too };

// What stands beside the chain for one event's reader: texts by stand-in.
class Ledger {
 public:
  static Result<Ledger> create(const std::string& path, const Creation& creation, Clock& clock,
                               Drives drives = Drives::own);
  // Without its key file a ledger opens for reading only, and so does one that lies on a network drive or on a medium
  // that cannot be written.
  static Result<Ledger> open(const std::string& path, Clock& clock, store::Access access = store::Access::write,
                             Drives drives = Drives::own);
  // A file whose keys stand elsewhere: a copy of a ledger under another name. Without keys for reading only; persons
  // sign in from `keys_path`.
  static Result<Ledger> open_with(const std::string& path, std::optional<people::KeyFile> keys, Clock& clock,
                                  store::Access access, const std::string& keys_path = {});

  Ledger(Ledger&&) noexcept;
  Ledger& operator=(Ledger&&) noexcept;
  ~Ledger();

  const std::string& path() const;
  const std::string& keys_path() const;
  const std::string& ledger_id() const;  // hex of 128 random bits
  const std::string& origin() const;     // trayproof/<ledger>
  const std::string& station() const;    // of this key file, or of the ledger's first event when there is none
  bool writable() const;
  Clock& clock() const;

  Result<Appended> append(std::vector<GivenEvent> events, const AppendOptions& options);
  // Several appends in one commit, each with its own outcome, in their order; a refusal touches only its own.
  std::vector<Result<Appended>> append_together(std::span<const Appending> all);
  // Events that name each other: `plan` is told the seq that the first of them gets. Nothing in it is taken as a
  // repeat.
  Result<Appended> append_planned(const std::function<std::vector<GivenEvent>(std::int64_t first_seq)>& plan,
                                  const AppendOptions& options);
  // A file of events, one JSON object a line; blank lines are skipped.
  Result<Appended> append_lines(std::string_view lines, const AppendOptions& options);

  // Signs in: the person's key, opened with the PIN. Denied when the PIN is wrong or must wait, missing when the person
  // has no key in force here.
  Result<std::shared_ptr<const people::Signer>> unlock(std::string_view person, std::string_view pin);
  // From now on this handle's events are signed by them where an append names no other signer. Null signs out.
  void sign_in(std::shared_ptr<const people::Signer> signer);
  const std::shared_ptr<const people::Signer>& signer() const;
  // Who acts where nobody else is named: who is signed in, else the station.
  const std::string& actor() const;
  // The second person's own signature under the event `seq`: the seq of the `countersigned`. Invalid when it could
  // never count.
  Result<std::int64_t> countersign(std::int64_t seq, std::shared_ptr<const people::Signer> signer);
  // Whether the event has its second person.
  Result<people::SecondAnswer> second(std::int64_t seq) const;
  // After the key file was changed, by this program or another: goes on with what it holds now.
  Result<void> reread_keys();
  // Every key and what became of it, as of now.
  Result<people::KeyBook> key_book() const;
  Result<people::Roster> roster() const;
  // Denied, with who may, when whoever acts (null: the station) has not that right.
  Result<void> may(people::Right right, const std::shared_ptr<const people::Signer>& signer) const;

  // The chain's present end: number of events and the hash of the last.
  Result<store::ChainHead> head() const;
  // The Merkle tree's root over the first `size` events.
  Result<log::Head> tree_head(std::optional<std::int64_t> size = std::nullopt) const;
  Result<store::Entry> entry(std::int64_t seq) const;
  // Calls `visit` for every entry with from <= seq <= until, in order; stops when it returns an error.
  Result<void> scan(std::int64_t from, std::int64_t until,
                    const std::function<Result<void>(const store::EntryView&)>& visit) const;

  // The readable text behind a stand-in; nothing when it was removed.
  Result<std::optional<std::string>> text(const Digest& stand_in) const;
  // The patient's number behind a pseudonym; nothing when it was erased. Needs the key file.
  Result<std::optional<std::string>> patient_number(std::string_view pseudonym) const;

  // The pseudonym (hex) of a patient's number, blanks around it cut; nothing when no such patient is known. Needs the
  // key file.
  Result<std::optional<std::string>> pseudonym_of(std::string_view number) const;

  // Attachments are kept whole, by the SHA-256 of their bytes. True: it was not there before.
  Result<bool> attach(ByteView bytes);
  Result<bool> has_attachment(const Digest& sha256) const;
  Result<Bytes> attachment(const Digest& sha256) const;

  // Changes what stands beside the chain in one durable step; rolled back when `work` returns an error. Not for writing
  // events.
  Result<void> in_one_step(const std::function<Result<void>()>& work);

  // The editions adopted up to `known_at` (all when absent), and the zone and altitude last described.
  Result<sop::Editions> editions(std::optional<std::int64_t> known_at = std::nullopt) const;

  // Unavailable, with the reason, where this handle cannot write.
  Result<void> may_write() const;
  // Signs the present state as a C2SP checkpoint, keeps it, and returns its bytes; of a state that is kept already
  // those that are kept, with whatever witnesses signed under it.
  Result<std::string> sign_checkpoint();
  Result<std::vector<std::string>> checkpoints() const;
  // The one in force; `key_book` knows those before it.
  log::VerifierKey ledger_key() const;

  // For verify and for links: the file below. Not for writing events.
  store::LedgerFile& file() const;
  const people::KeyFile* keys() const;

 private:
  struct State;
  Writer writer_under(const sop::Editions& editions);
  static Result<Ledger> open_state(const std::string& path, std::optional<people::KeyFile> keys, Clock& clock,
                                   store::Access access, std::optional<std::string> network);
  explicit Ledger(std::unique_ptr<State> state);
  // As `editions()`, read again only when another was adopted.
  Result<const sop::Editions*> present_editions() const;
  std::unique_ptr<State> state_;
};

}  // namespace trayproof
