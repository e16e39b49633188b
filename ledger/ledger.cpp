#include "ledger/ledger.h"

#include <algorithm>

#include "ledger/base/drive.h"
#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/erasure.h"
#include "ledger/events/fields.h"
#include "ledger/ledger_state.h"
#include "ledger/sop/kept.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

Ledger::Ledger(std::unique_ptr<State> state) : state_(std::move(state)) {}
Ledger::Ledger(Ledger&&) noexcept = default;
Ledger& Ledger::operator=(Ledger&&) noexcept = default;
Ledger::~Ledger() = default;

const std::string& Ledger::path() const { return state_->path; }
const std::string& Ledger::keys_path() const { return state_->keys_path; }
const std::string& Ledger::ledger_id() const { return state_->ledger; }
const std::string& Ledger::origin() const { return state_->origin; }
const std::string& Ledger::station() const { return state_->station; }
bool Ledger::writable() const {
  return state_->keys.has_value() && state_->keys->ledger == state_->ledger && !state_->asked_read_only &&
         !state_->file_read_only && !state_->network && !state_->file.database().poisoned();
}
void Ledger::sign_in(std::shared_ptr<const people::Signer> signer) { state_->signer = std::move(signer); }
const std::shared_ptr<const people::Signer>& Ledger::signer() const { return state_->signer; }
const std::string& Ledger::actor() const { return state_->signer ? state_->signer->person : state_->station; }
Clock& Ledger::clock() const { return *state_->clock; }
store::LedgerFile& Ledger::file() const { return state_->file; }
const people::KeyFile* Ledger::keys() const { return state_->keys ? &*state_->keys : nullptr; }
log::VerifierKey Ledger::ledger_key() const { return {state_->origin, state_->ledger_key}; }

Result<Ledger> Ledger::open(const std::string& path, Clock& clock, store::Access access, Drives drives) {
  if (!file_exists(path)) return Error(ErrorCode::missing, say("ledger.missing", {{"path", path}}));
  std::optional<people::KeyFile> keys;
  auto read = people::KeyFile::read(people::key_path(path));
  if (read.ok()) {
    keys = std::move(read).value();
  } else if (read.error().code() != ErrorCode::missing) {
    return std::move(read).error();
  }
  std::optional<std::string> network;
  if (access == store::Access::write && drives == Drives::own) network = network_drive(path);
  TRY_LET(auto ledger, open_state(path, std::move(keys), clock, access, std::move(network)));
  if (!ledger.writable()) return ledger;
  // What a crash left undone between a countersignature and its destruction. A record too damaged to tell what that is
  // still opens, for verify.
  const auto destroyed = destroy_countersigned(ledger);
  if (!destroyed.ok() &&
      (destroyed.error().code() == ErrorCode::unavailable || destroyed.error().code() == ErrorCode::uncertain)) {
    return Error(destroyed.error()).during(say("erasure.undone"));
  }
  return ledger;
}

Result<Ledger> Ledger::open_with(const std::string& path, std::optional<people::KeyFile> keys, Clock& clock,
                                 store::Access access, const std::string& keys_path) {
  if (!file_exists(path)) return Error(ErrorCode::missing, say("ledger.no-copy", {{"path", path}}));
  TRY_LET(auto ledger, open_state(path, std::move(keys), clock, access, std::nullopt));
  if (!keys_path.empty()) ledger.state_->keys_path = keys_path;
  return ledger;
}

Result<Ledger> Ledger::open_state(const std::string& path, std::optional<people::KeyFile> keys, Clock& clock,
                                  store::Access access, std::optional<std::string> network) {
  const bool writing = access == store::Access::write && keys.has_value() && !network;
  TRY_LET(auto file, store::LedgerFile::open(path, writing ? store::Access::write : store::Access::read));
  const bool read_only = file.database().read_only();
  auto state = std::make_unique<State>(State{.path = path,
                                             .clock = &clock,
                                             .file = std::move(file),
                                             .keys = std::move(keys),
                                             .signer = {},
                                             .keys_path = people::key_path(path),
                                             .ledger = {},
                                             .origin = {},
                                             .station = {},
                                             .ledger_key = {},
                                             .clock_seen = ClockSeen::on(clock),
                                             .asked_read_only = access == store::Access::read,
                                             .file_read_only = writing && read_only,
                                             .network = std::move(network),
                                             .patients = {},
                                             .editions = {},
                                             .editions_of = {}});
  // A damaged first entry must not keep verify from opening the ledger: what it does not say stays empty.
  const auto first = state->file.entry(1);
  if (!first.ok() && first.error().code() != ErrorCode::corrupt && first.error().code() != ErrorCode::missing)
    return Error(first.error()).during(say("store.opening", {{"path", path}}));
  if (first.ok()) {
    if (const auto event = json::parse(first.value().bytes); event.ok()) {
      state->ledger = event.value().text_at("ledger").value_or("");
      state->origin = event.value().text_at("origin").value_or("");
      state->station = event.value().text_at("station").value_or("");
      from_hex(event.value().text_at("ledger_key").value_or(""), state->ledger_key);
    }
  }
  if (state->keys) {
    state->patients = std::make_unique<KnownPatients>(state->file, *state->keys);
    // Of a record whose first entry cannot be read nobody can say whose it is: it is only read, and verify tells of the
    // damage.
    if (!state->ledger.empty() && state->keys->ledger != state->ledger) {
      return Error(ErrorCode::conflict, say("keys.other-ledger", {{"path", people::key_path(path)}}));
    }
    state->station = state->keys->station;
  }
  state->follow_keys();
  return Ledger(std::move(state));
}

void Ledger::State::follow_keys() {
  station_key_in_force = false;
  const auto book = people::KeyBook::read(file);
  if (!book.ok()) return;  // a damaged record opens for verify, which tells
  if (keys) {
    keys->settle(book.value());
    const people::KnownKey* own = book.value().find(hex(keys->station_key.public_key()));
    station_key_in_force = own != nullptr && !own->retired;
  }
  if (const people::KnownKey* known = book.value().in_force(origin, "ledger")) from_hex(known->public_key, ledger_key);
}

Result<void> Ledger::reread_keys() {
  TRY_LET(state_->keys, people::KeyFile::read(state_->keys_path));
  state_->follow_keys();
  return {};
}

Result<void> Ledger::may_write() const {
  if (state_->file.database().poisoned()) return Error(ErrorCode::uncertain, say("store.poisoned"));
  if (writable()) return {};
  if (state_->network) {
    return Error(ErrorCode::unavailable, say("ledger.network", {{"path", state_->path}, {"drive", *state_->network}}));
  }
  const std::string why = say(state_->asked_read_only  ? "ledger.asked-read-only"
                              : state_->file_read_only ? "ledger.file-read-only"
                              : state_->keys           ? "ledger.first-damaged"
                                                       : "ledger.no-keys");
  return Error(ErrorCode::unavailable, say("ledger.read-only", {{"why", why}}));
}

namespace {

// The editions that these entries adopt.
Result<sop::Editions> editions_of(store::LedgerFile& file, const std::vector<std::int64_t>& seqs) {
  sop::Editions editions;
  for (const std::int64_t seq : seqs) {
    TRY_LET(const auto kept, file.entry(seq));
    TRY_LET(const auto event, json::parse(kept.bytes));
    auto sop = sop::read_kept(event.text_at("toml").value_or("")).sop;
    const auto in_force = parse_date_time(event.text_at("in_force").value_or(""));
    const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
    if (!in_force || !recorded) return Error(ErrorCode::corrupt, say("store.no-entry", {{"seq", std::to_string(seq)}}));
    editions.add(seq, std::move(sop), in_force->instant, recorded->instant);
  }
  return editions;
}

}  // namespace

Result<store::ChainHead> Ledger::head() const { return state_->file.head(); }
Result<store::Entry> Ledger::entry(std::int64_t seq) const { return state_->file.entry(seq); }
Result<void> Ledger::scan(std::int64_t from, std::int64_t until,
                          const std::function<Result<void>(const store::EntryView&)>& visit) const {
  return state_->file.scan(from, until, visit);
}

Result<log::Head> Ledger::tree_head(std::optional<std::int64_t> size) const {
  TRY_LET(const auto end, head());
  log::Frontier frontier;
  TRY(state_->file.scan_hashes(size.value_or(end.seq), [&](const Digest& hash) { frontier.add(hash); }));
  return log::Head{.size = frontier.size(), .root = frontier.root()};
}

Result<std::optional<std::string>> Ledger::text(const Digest& stand_in) const {
  TRY_LET(auto kept, state_->file.text(stand_in));
  if (!kept) return std::optional<std::string>{};
  return std::optional(std::move(kept->text));
}

Result<std::optional<std::string>> Ledger::patient_number(std::string_view pseudonym) const {
  crypto::Token token;
  if (!state_->keys) return Error(ErrorCode::denied, say("ledger.read-only", {{"why", say("ledger.no-keys")}}));
  if (!from_hex(pseudonym, token)) return std::optional<std::string>{};
  TRY_LET(const auto kept, state_->file.patient_by_pseudonym(token));
  if (!kept) return std::optional<std::string>{};
  return open_number(*kept, *state_->keys);
}

Result<std::optional<std::string>> Ledger::pseudonym_of(std::string_view number) const {
  if (!state_->keys) return Error(ErrorCode::denied, say("ledger.read-only", {{"why", say("ledger.no-keys")}}));
  static constexpr events::Field field{"patient", events::Type::patient, events::Needed::no};
  Value settled(number);
  events::Refusals refused;  // what could never be a patient's number is none
  events::settle(settled, field, "patient", refused, events::StandIns::refused);
  if (!refused.empty() || !settled.is_text()) return std::optional<std::string>{};
  const auto lookup = crypto::keyed_token(state_->keys->lookup_secret, as_bytes(settled.text()));
  TRY_LET(const auto kept, state_->file.patient_by_lookup(lookup));
  return kept ? std::optional(hex(kept->pseudonym)) : std::nullopt;
}

Result<void> Ledger::in_one_step(const std::function<Result<void>()>& work) {
  TRY(may_write());
  TRY_LET(auto transaction, state_->file.begin());
  TRY(work());
  return transaction.commit();
}

Result<bool> Ledger::attach(ByteView bytes) {
  TRY(may_write());
  return state_->file.put_attachment(crypto::sha256(bytes), bytes);
}
Result<bool> Ledger::has_attachment(const Digest& sha256) const { return state_->file.has_attachment(sha256); }
Result<Bytes> Ledger::attachment(const Digest& sha256) const { return state_->file.attachment(sha256); }

Result<sop::Editions> Ledger::editions(std::optional<std::int64_t> known_at) const {
  TRY_LET(auto seqs, state_->file.landmarks("sop-adopted"));
  if (known_at) seqs.erase(std::upper_bound(seqs.begin(), seqs.end(), *known_at), seqs.end());
  TRY_LET(const auto read, editions_of(state_->file, seqs));
  return read;
}

Result<const sop::Editions*> Ledger::present_editions() const {
  TRY_LET(auto seqs, state_->file.landmarks("sop-adopted"));
  if (!state_->editions || seqs != state_->editions_of) {
    TRY_LET(state_->editions, editions_of(state_->file, seqs));
    state_->editions_of = std::move(seqs);
  }
  return &*state_->editions;
}

Result<std::string> Ledger::sign_checkpoint() {
  TRY(may_write());
  state_->follow_keys();
  if (state_->keys->ledger_key.public_key() != state_->ledger_key) {
    return Error(ErrorCode::denied, say("people.key-not-in-force", {{"owner", state_->origin}}));
  }
  TRY_LET(const auto tree, tree_head());
  const std::string text = log::checkpoint_text(state_->origin, tree);
  TRY_LET(const auto kept, checkpoints());
  for (const std::string& one : kept) {
    const auto parsed = log::parse_note(one);
    if (parsed.ok() && parsed.value().text == text && log::is_signed_by(parsed.value(), ledger_key())) return one;
  }
  const std::string note = log::sign_note(text, state_->origin, state_->keys->ledger_key);
  TRY_LET(auto transaction, store::Transaction::begin(state_->file.database()));
  TRY(state_->file.put_checkpoint(static_cast<std::int64_t>(tree.size), note));
  TRY(transaction.commit());
  return note;
}

Result<std::vector<std::string>> Ledger::checkpoints() const { return state_->file.checkpoints(); }

}  // namespace trayproof
