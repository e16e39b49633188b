#include "ledger/ledger.h"

#include "ledger/base/drive.h"
#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/batch.h"
#include "ledger/given_numbers.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

struct Ledger::State {
  std::string path;
  Clock* clock = nullptr;
  store::LedgerFile file;
  std::optional<people::KeyFile> keys;
  std::string ledger;
  std::string origin;
  std::string station;
  crypto::PublicKey ledger_key{};
  bool asked_read_only = false;
  bool file_read_only = false;
  std::optional<std::string> network;  // the file system of the network drive that it must not be written on
  bool poisoned = false;
};

Ledger::Ledger(std::unique_ptr<State> state) : state_(std::move(state)) {}
Ledger::Ledger(Ledger&&) noexcept = default;
Ledger& Ledger::operator=(Ledger&&) noexcept = default;
Ledger::~Ledger() = default;

const std::string& Ledger::path() const { return state_->path; }
const std::string& Ledger::ledger_id() const { return state_->ledger; }
const std::string& Ledger::origin() const { return state_->origin; }
const std::string& Ledger::station() const { return state_->station; }
bool Ledger::writable() const {
  return state_->keys.has_value() && !state_->asked_read_only && !state_->file_read_only && !state_->network &&
         !state_->poisoned;
}
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
  return open_state(path, std::move(keys), clock, access, std::move(network));
}

Result<Ledger> Ledger::open_with(const std::string& path, std::optional<people::KeyFile> keys, Clock& clock,
                                 store::Access access) {
  if (!file_exists(path)) return Error(ErrorCode::missing, say("ledger.no-copy", {{"path", path}}));
  return open_state(path, std::move(keys), clock, access, std::nullopt);
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
                                             .ledger = {},
                                             .origin = {},
                                             .station = {},
                                             .ledger_key = {},
                                             .asked_read_only = access == store::Access::read,
                                             .file_read_only = writing && read_only,
                                             .network = std::move(network),
                                             .poisoned = false});
  // A damaged first entry must not keep verify from opening the ledger: what it does not say stays empty.
  if (const auto first = state->file.entry(1); first.ok()) {
    if (const auto event = json::parse(first.value().bytes); event.ok()) {
      state->ledger = event.value().text_at("ledger").value_or("");
      state->origin = event.value().text_at("origin").value_or("");
      state->station = event.value().text_at("station").value_or("");
      from_hex(event.value().text_at("ledger_key").value_or(""), state->ledger_key);
    }
  }
  if (state->keys) {
    if (state->keys->ledger != state->ledger) {
      return Error(ErrorCode::conflict, say("keys.other-ledger", {{"path", people::key_path(path)}}));
    }
    state->station = state->keys->station;
  }
  return Ledger(std::move(state));
}

Result<void> Ledger::may_write() const {
  if (state_->poisoned) return Error(ErrorCode::uncertain, say("ledger.poisoned"));
  if (writable()) return {};
  if (state_->network) {
    return Error(ErrorCode::denied, say("ledger.network", {{"path", state_->path}, {"drive", *state_->network}}));
  }
  const std::string why = say(state_->asked_read_only  ? "ledger.asked-read-only"
                              : state_->file_read_only ? "ledger.file-read-only"
                                                       : "ledger.no-keys");
  return Error(ErrorCode::denied, say("ledger.read-only", {{"why", why}}));
}

Result<store::ChainHead> Ledger::head() const { return state_->file.head(); }
Result<store::Entry> Ledger::entry(std::int64_t seq) const { return state_->file.entry(seq); }
Result<void> Ledger::scan(std::int64_t from, std::int64_t until,
                          const std::function<Result<void>(const store::EntryView&)>& visit) const {
  return state_->file.scan(from, until, visit);
}

Result<log::Head> Ledger::tree_head(std::optional<std::int64_t> size) const {
  TRY_LET(const auto end, head());
  log::Frontier frontier;
  TRY(scan(1, size.value_or(end.seq), [&](const store::EntryView& entry) -> Result<void> {
    Digest hash{};
    if (entry.hash.size() == hash.size()) std::copy(entry.hash.begin(), entry.hash.end(), hash.begin());
    frontier.add(hash);
    return {};
  }));
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

Result<bool> Ledger::attach(ByteView bytes) {
  TRY(may_write());
  return state_->file.put_attachment(crypto::sha256(bytes), bytes);
}
Result<bool> Ledger::has_attachment(const Digest& sha256) const { return state_->file.has_attachment(sha256); }
Result<Bytes> Ledger::attachment(const Digest& sha256) const { return state_->file.attachment(sha256); }

Result<sop::Editions> Ledger::editions(std::optional<std::int64_t> known_at) const {
  sop::Editions editions;
  TRY_LET(const auto seqs, state_->file.landmarks("sop-adopted"));
  for (const std::int64_t seq : seqs) {
    if (known_at && seq > *known_at) continue;
    TRY_LET(const auto kept, state_->file.entry(seq));
    TRY_LET(const auto event, json::parse(kept.bytes));
    TRY_LET(auto sop, sop::read(event.text_at("toml").value_or("")));
    const auto in_force = parse_date_time(event.text_at("in_force").value_or(""));
    const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
    if (!in_force || !recorded) return Error(ErrorCode::corrupt, say("store.no-entry", {{"seq", std::to_string(seq)}}));
    editions.add(seq, std::move(sop), in_force->instant, recorded->instant);
  }
  return editions;
}

namespace {

Result<Writer> writer_of(store::LedgerFile& file, const people::KeyFile& keys, Clock& clock,
                         const sop::Editions& editions) {
  Writer writer{.file = file, .keys = keys, .clock = clock, .station = keys.station, .clock_minutes = 5};
  if (const sop::Edition* edition = editions.at(clock.now())) writer.clock_minutes = edition->sop.records_clock_minutes;
  return writer;
}

// Begins, lets `fill` add to the batch, and commits when something is taken.
Result<Appended> run_batch(const Writer& writer, const AppendOptions& options, bool& poisoned,
                           const std::function<Result<void>(Batch&)>& fill) {
  TRY_LET(auto transaction, writer.file.begin());
  TRY_LET(auto batch, Batch::begin(writer, options));
  TRY(fill(batch));
  TRY_LET(auto report, batch.finish());
  if (report.taken == 0) return report;  // nothing to commit: the transaction is rolled back
  auto committed = transaction.commit();
  if (!committed.ok() && committed.error().code() == ErrorCode::uncertain) {
    poisoned = true;
    return Error(ErrorCode::uncertain, say("ledger.uncertain", {{"found", committed.error().sentence()}}));
  }
  if (!committed.ok()) return std::move(committed).error();
  return report;
}

}  // namespace

Result<Appended> Ledger::append(std::vector<GivenEvent> events, const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto known, editions());
  TRY_LET(const auto writer, writer_of(state_->file, *state_->keys, *state_->clock, known));
  return run_batch(writer, options, state_->poisoned, [&](Batch& batch) -> Result<void> {
    for (const GivenEvent& one : events) know_numbers_of(one.event, batch.numbers());
    for (GivenEvent& one : events) TRY(batch.add_given(std::move(one)));
    return {};
  });
}

Result<Appended> Ledger::append_planned(const std::function<std::vector<GivenEvent>(std::int64_t)>& plan,
                                        const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto known, editions());
  TRY_LET(const auto writer, writer_of(state_->file, *state_->keys, *state_->clock, known));
  AppendOptions each_new = options;
  each_new.same_content_repeats = false;
  return run_batch(writer, each_new, state_->poisoned, [&](Batch& batch) -> Result<void> {
    for (GivenEvent& one : plan(batch.first_seq())) TRY(batch.add_given(std::move(one)));
    return {};
  });
}

Result<Appended> Ledger::append_lines(std::string_view lines, const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto known, editions());
  TRY_LET(const auto writer, writer_of(state_->file, *state_->keys, *state_->clock, known));
  return run_batch(writer, options, state_->poisoned, [&](Batch& batch) -> Result<void> {
    know_numbers_in(lines, batch.numbers());
    LineReader reader(lines, batch.reading_rules());
    for (auto chunk = reader.next(); !chunk.empty(); chunk = reader.next()) {
      for (ReadEvent& one : chunk) TRY(batch.add(std::move(one)));
      TRY(batch.write_ahead());
    }
    return {};
  });
}

Result<std::string> Ledger::sign_checkpoint() {
  TRY(may_write());
  TRY_LET(const auto tree, tree_head());
  const std::string note =
      log::sign_note(log::checkpoint_text(state_->origin, tree), state_->origin, state_->keys->ledger_key);
  TRY_LET(auto transaction, store::Transaction::begin(state_->file.database()));
  TRY(state_->file.put_checkpoint(static_cast<std::int64_t>(tree.size), note));
  TRY(transaction.commit());
  return note;
}

Result<std::vector<std::string>> Ledger::checkpoints() const { return state_->file.checkpoints(); }

}  // namespace trayproof
