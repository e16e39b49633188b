#include "ledger/restore.h"

#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <utility>

#include "ledger/base/drive.h"
#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "ledger/log/note.h"
#include "ledger/restore_repeat.h"
#include "ledger/store/copy.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

namespace {

// The copy until it gets its name; its journal goes with it.
class Waiting {
 public:
  explicit Waiting(const std::string& ledger) : path_(ledger + ".restoring-" + hex(crypto::random_bytes<4>())) {}
  Waiting(Waiting&& other) noexcept : path_(std::exchange(other.path_, {})) {}
  Waiting& operator=(Waiting&&) = delete;
  ~Waiting() {
    if (path_.empty()) return;
    ::unlink(path_.c_str());
    ::unlink((path_ + "-journal").c_str());
    ::unlink(list_path(path_).c_str());
  }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

// What the file that has the name now tells of itself.
struct Present {
  bool there = false;
  bool holds = false;  // it verifies
  std::int64_t size = 0;
  std::vector<std::string> checkpoints;
  std::vector<ErasureProof> erasures;
};

}  // namespace

struct Restore::State {
  RestoreRequest request;
  Clock* clock = nullptr;
  Waiting waiting;
  std::optional<people::KeyFile> keys;
  std::optional<Ledger> copy;
  log::Head head;
  std::optional<log::Head> lost_after;
  std::vector<ErasureProof> known;  // every erasure that anything tells of
  std::vector<ErasureProof> due;    // those whose subject the copy still holds
};

Restore::Restore(std::unique_ptr<State> state) : state_(std::move(state)) {}
Restore::Restore(Restore&&) noexcept = default;
Restore::~Restore() = default;
Ledger& Restore::ledger() { return *state_->copy; }
std::int64_t Restore::size() const { return static_cast<std::int64_t>(state_->head.size); }
const std::optional<log::Head>& Restore::lost_after() const { return state_->lost_after; }
std::int64_t Restore::erasures_to_repeat() const { return static_cast<std::int64_t>(state_->due.size()); }

namespace {

Result<std::vector<ErasureProof>> proofs_in(const Ledger& ledger) {
  std::vector<ErasureProof> proofs;
  TRY_LET(const auto requests, erasure_requests(ledger));
  for (const ErasureRequest& request : requests) {
    TRY_LET(const auto second, ledger.second(request.seq));
    if (!second.confirmed_by) continue;
    TRY_LET(auto proof, proof_of(ledger, request, *second.confirmed_by));
    proofs.push_back(std::move(proof));
  }
  return proofs;
}

// The file that stands there may be damaged in any way: what can be read of it is used.
Present look_at_present(const RestoreRequest& request, const std::optional<people::KeyFile>& keys, Clock& clock) {
  Present present;
  present.there = file_exists(request.ledger);
  if (!present.there) return present;
  auto ledger = Ledger::open_with(request.ledger, keys, clock, store::Access::read);
  if (!ledger.ok()) return present;
  if (const auto head = ledger.value().head(); head.ok()) present.size = head.value().seq;
  if (auto notes = ledger.value().checkpoints(); notes.ok()) present.checkpoints = std::move(notes).value();
  if (auto proofs = proofs_in(ledger.value()); proofs.ok()) present.erasures = std::move(proofs).value();
  const auto found = verify(ledger.value(), Depth::usual);
  present.holds = found.ok() && found.value().problems.empty();
  return present;
}

Result<void> must_hold(Ledger& copy) {
  TRY_LET(const auto found, verify(copy, Depth::full));
  if (found.problems.empty()) return {};
  const Problem& first = found.problems.front();
  const std::string seq = first.seq ? "seq " + std::to_string(*first.seq) + ": " : std::string();
  return Error(ErrorCode::corrupt, say("restore.does-not-hold", {{"path", copy.path()}, {"found", seq + first.what}}));
}

// A backup from before a key was rotated needs the key file of its time: what goes on from it must be signed by keys
// that it knows.
Result<void> must_know_keys(Ledger& copy, const people::KeyFile& keys, const RestoreRequest& request) {
  TRY_LET(const auto book, copy.key_book());
  const auto known = [&](const crypto::SigningKey& key) {
    const people::KnownKey* there = book.find(hex(key.public_key()));
    return there != nullptr && !there->retired;
  };
  if (known(keys.station_key) && known(keys.ledger_key)) return {};
  return Error(ErrorCode::invalid, say("restore.other-keys", {{"path", request.backup},
                                                              {"keys", people::key_path(request.ledger)}}));
}

bool is_signed_by_ledger(const log::Note& note, const Ledger& ledger, const people::KeyBook& book) {
  return std::any_of(book.all().begin(), book.all().end(), [&](const people::KnownKey& one) {
    log::VerifierKey key{ledger.origin(), {}};
    return one.sort == "ledger" && from_hex(one.public_key, key.key) && log::is_signed_by(note, key);
  });
}

// Each known state must be one that the copy went through, or a later one; the latest of these is returned.
Result<std::optional<log::Head>> latest_known(const Ledger& copy, const std::vector<std::string>& notes,
                                              std::uint64_t size) {
  std::optional<log::Head> latest;
  TRY_LET(const auto book, copy.key_book());
  for (const std::string& bytes : notes) {
    TRY_LET(const auto note, log::parse_note(bytes));
    TRY_LET(const auto checkpoint, log::parse_checkpoint(note));
    if (checkpoint.origin != copy.origin() || !is_signed_by_ledger(note, copy, book)) {
      return Error(ErrorCode::invalid, say("restore.checkpoint-foreign"));
    }
    const log::Head& head = checkpoint.head;
    if (head.size > size) {
      if (!latest || head.size > latest->size) latest = head;
      continue;
    }
    TRY_LET(const auto then, copy.tree_head(static_cast<std::int64_t>(head.size)));
    if (then.root != head.root) {
      return Error(ErrorCode::invalid, say("restore.other-history", {{"size", std::to_string(head.size)}}));
    }
  }
  return latest;
}

}  // namespace

Result<std::vector<ErasureProof>> erasures_in(const std::string& file, Clock& clock) {
  auto ledger = Ledger::open_with(file, std::nullopt, clock, store::Access::read);
  if (ledger.ok()) return proofs_in(ledger.value());
  if (ledger.error().code() == ErrorCode::missing) return std::move(ledger).error();
  TRY_LET(auto list, read_list_file(file));
  if (list.unreadable == 0) return std::move(list.proofs);
  return Error(ErrorCode::invalid, say("restore.no-list", {{"path", file}}));
}

Result<Restore> Restore::begin(const RestoreRequest& request, Clock& clock) {
  if (const auto network = network_drive(request.ledger); network && request.drives == Drives::own) {
    return Error(ErrorCode::denied, say("ledger.network", {{"path", request.ledger}, {"drive", *network}}));
  }
  if (same_file(request.backup, request.ledger))
    return Error(ErrorCode::invalid, say("restore.itself", {{"path", request.backup}}));
  if (!file_exists(request.backup)) return Error(ErrorCode::invalid, say("ledger.no-copy", {{"path", request.backup}}));
  auto state = std::make_unique<State>(State{.request = request,
                                             .clock = &clock,
                                             .waiting = Waiting(request.ledger),
                                             .keys = {},
                                             .copy = {},
                                             .head = {},
                                             .lost_after = {},
                                             .known = request.erasures,
                                             .due = {}});
  auto keys = people::KeyFile::read(people::key_path(request.ledger));
  if (keys.ok())
    state->keys = std::move(keys).value();
  else if (keys.error().code() != ErrorCode::missing)
    return std::move(keys).error();
  {
    TRY_LET(auto source, store::LedgerFile::open(request.backup, store::Access::read));
    TRY(store::copy_online(source.database(), state->waiting.path()));
  }
  TRY_LET(state->copy, Ledger::open_with(state->waiting.path(), state->keys, clock, store::Access::write,
                                         people::key_path(request.ledger)));
  if (state->keys) TRY(must_know_keys(*state->copy, *state->keys, request));
  TRY(must_hold(*state->copy));
  TRY_LET(state->head, state->copy->tree_head());

  const Present present = look_at_present(request, state->keys, clock);
  std::vector<std::string> notes = request.checkpoints;
  notes.insert(notes.end(), present.checkpoints.begin(), present.checkpoints.end());
  TRY_LET(state->lost_after, latest_known(*state->copy, notes, state->head.size));
  if (present.holds) {
    TRY_LET(auto now, Ledger::open_with(request.ledger, std::nullopt, clock, store::Access::read));
    const auto shared = std::min(present.size, static_cast<std::int64_t>(state->head.size));
    TRY_LET(const auto here, now.tree_head(shared));
    TRY_LET(const auto there, state->copy->tree_head(shared));
    if (now.ledger_id() != state->copy->ledger_id() || here.root != there.root) {
      return Error(ErrorCode::invalid, say("restore.other-ledger", {{"path", request.ledger}}));
    }
    if (present.size > shared &&
        (!state->lost_after || present.size > static_cast<std::int64_t>(state->lost_after->size))) {
      TRY_LET(state->lost_after, now.tree_head());
    }
  }
  TRY_LET(const auto listed, read_list_file(list_path(request.ledger)));
  if (listed.unreadable > 0) {
    return Error(ErrorCode::invalid, say("restore.list-damaged", {{"path", list_path(request.ledger)},
                                                                  {"count", std::to_string(listed.unreadable)}}));
  }
  state->known.insert(state->known.end(), listed.proofs.begin(), listed.proofs.end());
  state->known.insert(state->known.end(), present.erasures.begin(), present.erasures.end());
  TRY_LET(state->due, still_held(state->copy->file(), state->known));
  return Restore(std::move(state));
}

namespace {

// The old file keeps its own journal: beside the new one it would be taken for the new one's.
Result<std::optional<std::string>> put_aside(const std::string& path, Instant now) {
  if (!file_exists(path)) return std::optional<std::string>{};
  std::string stamp;
  for (const char c : format_recorded(now)) {
    if ((c >= '0' && c <= '9') || c == 'T') stamp += c;
  }
  const std::string aside = path + ".before-restore-" + stamp;
  if (file_exists(aside)) return Error(ErrorCode::conflict, say("restore.aside-taken", {{"path", aside}}));
  if (file_exists(path + "-journal")) TRY(rename_new(path + "-journal", aside + "-journal"));
  // Both names until the new file takes the one: at no moment is there no ledger. Where a drive knows no second names
  // the file is moved.
  if (::link(path.c_str(), aside.c_str()) != 0) TRY(rename_new(path, aside));
  return std::optional(aside);
}

}  // namespace

Result<Restore::Done> Restore::finish(std::shared_ptr<const people::Signer> signer, const std::string& second,
                                      const std::string& at) {
  State& state = *state_;
  Done done;
  if (state.keys) {
    const RestoreNote note{
        .head = state.head, .lost_after = state.lost_after, .second = second, .at = at, .due = state.due};
    TRY_LET(done.seq, note_restore(*state.copy, note, std::move(signer)));
  }
  if (!state.keys) {  // nothing can be signed, and still it must forget
    state.copy.reset();
    TRY_LET(auto file, store::LedgerFile::open(state.waiting.path(), store::Access::write));
    TRY_LET(done.repeated, forget_again(file, state.due));
  } else {
    TRY_LET(done.repeated, forget_again(state.copy->file(), state.due));
    TRY_LET(const auto found, verify(*state.copy, Depth::usual));
    for (const Problem& one : found.problems) {
      if (one.seq && *one.seq > done.seq)
        continue;  // a repeat whose persons the backup does not know awaits the second
      return Error(ErrorCode::corrupt,
                   say("restore.does-not-hold", {{"path", state.copy->path()}, {"found", one.what}}));
    }
  }
  state.copy.reset();  // closed before it gets its name
  TRY(add_to_list(list_path(state.request.ledger), state.known));
  TRY_LET(done.aside, put_aside(state.request.ledger, state.clock->now()));
  TRY(rename_over(state.waiting.path(), state.request.ledger));
  ::unlink((state.request.ledger + ".links").c_str());  // derived from what is no more there; made again when asked for
  return done;
}

}  // namespace trayproof
