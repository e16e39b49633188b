#include "ledger/store/ledger_file.h"

#include <algorithm>

#include "ledger/base/drive.h"
#include "ledger/base/files.h"
#include "ledger/store/entry_page.h"
#include "ledger/store/schema.h"
#include "ledger/words/words.h"

namespace trayproof::store {
namespace {

constexpr std::int64_t application_id = 0x54725066;
constexpr std::int64_t format_version = 1;

template <std::size_t size>
std::array<std::uint8_t, size> fixed(ByteView blob) {
  std::array<std::uint8_t, size> out{};
  std::copy_n(blob.begin(), std::min(size, blob.size()), out.begin());
  return out;
}

Result<std::int64_t> pragma(Database& database, const std::string& name) {
  TRY_LET(auto statement, database.prepare("PRAGMA " + name));
  TRY_LET(const bool row, statement.step());
  return row ? statement.integer(0) : std::int64_t{0};
}

// What the record needs of SQLite (docs/decisions/0003): the rollback journal with EXTRA keeps every acknowledged
// commit through a power cut, needs no second file to be copied, and cannot meet the WAL-reset defect of this SQLite.
Result<void> configure(Database& database) {
  TRY(
      database.run("PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA; PRAGMA secure_delete = ON; "
                   "PRAGMA cache_size = -65536; PRAGMA temp_store = MEMORY"));
  database.run_no_triggers();
  return {};
}

// A program that died in the middle of a write left a journal. A handle for reading may not undo it; one for writing
// does with its first look, where the machine allows it. Not on a network drive, whose locks do not tell whether the
// writer is still alive.
Result<void> undo_what_was_cut_off(const std::string& path) {
  if (!network_drive(path)) {
    auto database = Database::open(path, Access::write);
    if (database.ok() && pragma(database.value(), "application_id").ok()) return {};
  }
  return Error(ErrorCode::unavailable, say("store.cut-off-read-only"));
}

}  // namespace

LedgerFile::LedgerFile(Database database) : database_(std::move(database)) { statements_.reserve(64); }

Result<LedgerFile> LedgerFile::create(const std::string& path) {
  TRY_LET(auto database, Database::create(path));
  TRY(configure(database));
  TRY(database.run(std::string("BEGIN IMMEDIATE;") + schema_sql() + ";COMMIT"));
  return LedgerFile(std::move(database));
}

Result<LedgerFile> LedgerFile::open(const std::string& path, Access access) {
  TRY_LET(auto database, Database::open(path, access));
  auto id = pragma(database, "application_id");
  if (!id.ok() && id.error().code() == ErrorCode::denied) {
    TRY(undo_what_was_cut_off(path));
    TRY_LET(database, Database::open(path, access));
    id = pragma(database, "application_id");
  }
  if (!id.ok()) return Error(id.error().code(), id.error().sentence()).during(say("store.opening", {{"path", path}}));
  if (id.value() != application_id) return Error(ErrorCode::corrupt, say("store.no-ledger", {{"path", path}}));
  TRY_LET(const auto version, pragma(database, "user_version"));
  if (version != format_version) {
    return Error(ErrorCode::corrupt, say("store.version", {{"path", path}, {"found", std::to_string(version)}}));
  }
  if (access == Access::write) {
    TRY(configure(database));
    // A program that was killed after it removed the journal and before that was durable left an event that is seen
    // here: from now on it is told of (as a repeat, to whoever sends it again), so it must be there after a power cut.
    if (!database.read_only()) TRY(sync_folder_of(path));
  }
  return LedgerFile(std::move(database));
}

// Statements are kept by the address of their text: each call site has its own literal.
Result<Statement*> LedgerFile::prepared(std::string_view sql) {
  for (auto& [text, statement] : statements_) {
    if (text.data() == sql.data()) return &statement;
  }
  TRY_LET(auto statement, database_.prepare(sql));
  CHECK(statements_.size() < statements_.capacity());  // pointers handed out must stay good
  statements_.emplace_back(sql, std::move(statement));
  return &statements_.back().second;
}

Result<LedgerFile::Version> LedgerFile::version() {
  TRY_LET(auto* read, prepared("PRAGMA data_version"));
  TRY_LET(const bool row, read->step());
  CHECK(row);
  const Version version{.of_others = read->integer(0), .destroyed = destroyed_};
  read->reset();
  return version;
}

Result<std::uint32_t> LedgerFile::changes() {
  TRY_LET(const auto reading, Reading::begin(database_));
  TRY(head());  // a reading has its lock from its first look on
  return database_.change_count();
}

Result<std::uint32_t> LedgerFile::changes_at_a_glance() {
  TRY(database_.still_there());
  return database_.change_count();
}

Result<ChainHead> LedgerFile::head() {
  TRY(database_.still_there());
  TRY_LET(auto* read, prepared("SELECT seq, hash FROM entries ORDER BY seq DESC LIMIT 1"));
  TRY_LET(const bool row, read->step());
  if (!row) return ChainHead{};
  ChainHead head{.seq = read->integer(0), .hash = fixed<32>(read->blob(1))};
  read->reset();
  return head;
}

Result<Entry> LedgerFile::entry(std::int64_t seq) {
  TRY_LET(auto* read, prepared("SELECT entry, hash, sig FROM entries WHERE seq = ?"));
  read->bind(1, seq);
  TRY_LET(const bool row, read->step());
  if (!row) return Error(ErrorCode::missing, say("store.no-entry", {{"seq", std::to_string(seq)}}));
  Entry entry{.seq = seq, .bytes = std::string(read->text(0)), .hash = fixed<32>(read->blob(1)), .sig = {}};
  const ByteView sig = read->blob(2);
  entry.sig.assign(sig.begin(), sig.end());
  read->reset();
  return entry;
}

// By pages, so that no writer waits for a long reader; entries are only ever added, and what was read stays true.
Result<void> LedgerFile::scan(std::int64_t from, std::int64_t until,
                              const std::function<Result<void>(const EntryView&)>& visit) {
  // Its own statement, so that a visitor may scan again.
  TRY_LET(auto read, database_.prepare("SELECT seq, entry, hash, sig FROM entries WHERE seq BETWEEN ? AND ? "
                                       "ORDER BY seq LIMIT ?"));
  EntryPage page;
  while (from <= until) {
    read.bind(1, from).bind(2, until).bind(3, EntryPage::rows_max);
    auto filled = page.fill(read);
    // Before a damaged place what could be read is still told.
    for (std::size_t i = 0; i < page.size(); ++i) TRY(visit(page.at(i)));
    TRY(std::move(filled));
    if (page.size() < static_cast<std::size_t>(EntryPage::rows_max)) return {};
    const std::int64_t last = std::max(from, page.at(page.size() - 1).seq);
    if (last >= until) return {};
    from = last + 1;
  }
  return {};
}

Result<void> LedgerFile::scan_hashes(std::int64_t until, const std::function<void(const Digest&)>& visit) {
  constexpr std::int64_t rows_max = 4096;
  TRY_LET(auto read, database_.prepare("SELECT seq, hash FROM entries WHERE seq BETWEEN ? AND ? ORDER BY seq LIMIT ?"));
  std::vector<Digest> page;
  for (std::int64_t last = 0; last < until;) {
    page.clear();
    read.bind(1, last + 1).bind(2, until).bind(3, rows_max);
    while (true) {
      TRY_LET(const bool row, read.step());
      if (!row) break;
      last = read.integer(0);
      page.push_back(fixed<32>(read.blob(1)));
    }
    for (const Digest& hash : page) visit(hash);
    if (page.size() < static_cast<std::size_t>(rows_max)) return {};
  }
  return {};
}

Result<void> LedgerFile::insert(const EntryView& entry, const EntryKeys& keys) {
  // The trigger's question, asked once a transaction and then counted.
  if (!database_.in_transaction()) return Error(ErrorCode::conflict, say("store.no-transaction"));
  if (next_seq_ == 0) {
    TRY_LET(const auto end, head());
    next_seq_ = end.seq + 1;
  }
  if (entry.seq != next_seq_) {
    const std::string allowed = std::to_string(next_seq_);
    return Error(ErrorCode::conflict,
                 say("store.not-next", {{"found", std::to_string(entry.seq)}, {"allowed", allowed}}));
  }
  TRY_LET(auto* write,
          prepared("INSERT INTO entries (seq, entry, hash, sig, slip, content) VALUES (?, ?, ?, ?, ?, ?)"));
  write->bind(1, entry.seq).bind_view(2, entry.bytes).bind_view(3, entry.hash).bind_view(4, entry.sig);
  if (keys.slip.empty()) {
    write->bind_null(5);
  } else {
    write->bind_view(5, keys.slip);
  }
  write->bind_view(6, ByteView(keys.content));
  TRY(write->run());
  ++next_seq_;
  return {};
}

Result<void> LedgerFile::begin_again() {
  next_seq_ = 0;
  return database_.begin();
}

Result<Transaction> LedgerFile::begin() {
  next_seq_ = 0;
  return Transaction::begin(database_);
}

Result<std::optional<std::int64_t>> LedgerFile::find_slip(std::string_view slip) {
  TRY_LET(auto* read, prepared("SELECT seq FROM entries WHERE slip = ?"));
  read->bind(1, slip);
  TRY_LET(const bool row, read->step());
  if (!row) return std::optional<std::int64_t>{};
  const std::int64_t seq = read->integer(0);
  read->reset();
  return std::optional(seq);
}

Result<std::vector<std::int64_t>> LedgerFile::find_content(const crypto::Token& content) {
  TRY_LET(auto* read, prepared("SELECT seq FROM entries WHERE content = ? ORDER BY seq"));
  read->bind(1, ByteView(content));
  std::vector<std::int64_t> seqs;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) return seqs;
    seqs.push_back(read->integer(0));
  }
}

Result<void> LedgerFile::scan_contents(const std::function<void(const crypto::Token&)>& visit) {
  TRY_LET(auto read, database_.prepare("SELECT content FROM entries INDEXED BY entries_by_content"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    visit(fixed<16>(read.blob(0)));
  }
}

Result<void> LedgerFile::scan_introductions(const std::function<void(std::string_view, std::string_view)>& visit) {
  TRY_LET(auto read, database_.prepare("SELECT sort, id FROM introduced"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    visit(read.text(0), read.text(1));
  }
}

Result<std::optional<Introduction>> LedgerFile::introduction(std::string_view sort, std::string_view id) {
  TRY_LET(auto* read, prepared("SELECT origin, detail FROM introduced WHERE sort = ? AND id = ?"));
  read->bind(1, sort).bind(2, id);
  TRY_LET(const bool row, read->step());
  if (!row) return std::optional<Introduction>{};
  Introduction found{.origin = read->integer(0), .detail = std::string(read->text(1))};
  read->reset();
  return std::optional(std::move(found));
}

Result<void> LedgerFile::put_introduction(std::string_view sort, std::string_view id,
                                          const Introduction& introduction) {
  TRY_LET(auto* write, prepared("INSERT OR REPLACE INTO introduced (sort, id, origin, detail) VALUES (?, ?, ?, ?)"));
  write->bind_view(1, sort).bind_view(2, id).bind(3, introduction.origin).bind_view(4, introduction.detail);
  return write->run();
}

Result<void> LedgerFile::drop_introduction(std::string_view sort, std::string_view id) {
  TRY_LET(auto* write, prepared("DELETE FROM introduced WHERE sort = ? AND id = ?"));
  write->bind(1, sort).bind(2, id);
  return write->run();
}

Result<std::optional<std::int64_t>> LedgerFile::origin_of(std::int64_t seq) {
  TRY_LET(auto* read, prepared("SELECT origin FROM corrections WHERE seq = ?"));
  read->bind(1, seq);
  TRY_LET(const bool row, read->step());
  if (!row) return std::optional<std::int64_t>{};
  const std::int64_t origin = read->integer(0);
  read->reset();
  return std::optional(origin);
}

Result<std::vector<std::int64_t>> LedgerFile::corrections_of(std::int64_t origin) {
  TRY_LET(auto* read, prepared("SELECT seq FROM corrections WHERE origin = ? ORDER BY seq"));
  read->bind(1, origin);
  std::vector<std::int64_t> seqs;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) return seqs;
    seqs.push_back(read->integer(0));
  }
}

Result<void> LedgerFile::put_correction(std::int64_t seq, std::int64_t origin) {
  TRY_LET(auto* write, prepared("INSERT INTO corrections (seq, origin) VALUES (?, ?)"));
  write->bind(1, seq).bind(2, origin);
  return write->run();
}

Result<void> LedgerFile::scan_pseudonyms(const std::function<void(const crypto::Token&, const crypto::Token&)>& visit) {
  TRY_LET(auto read, database_.prepare("SELECT lookup, pseudonym FROM patients"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    visit(fixed<16>(read.blob(0)), fixed<16>(read.blob(1)));
  }
}

Result<void> LedgerFile::put_landmark(std::string_view kind, std::int64_t seq) {
  TRY_LET(auto* write, prepared("INSERT INTO landmarks (kind, seq) VALUES (?, ?)"));
  write->bind(1, kind).bind(2, seq);
  return write->run();
}

Result<std::vector<std::int64_t>> LedgerFile::landmarks(std::string_view kind) {
  TRY_LET(auto* read, prepared("SELECT seq FROM landmarks WHERE kind = ? ORDER BY seq"));
  read->bind(1, kind);
  std::vector<std::int64_t> seqs;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) return seqs;
    seqs.push_back(read->integer(0));
  }
}

Result<void> LedgerFile::put_text(const KeptText& text) {
  TRY_LET(auto* write, prepared("INSERT INTO texts (sha256, salt, text) VALUES (?, ?, ?)"));
  write->bind_view(1, ByteView(text.stand_in)).bind_view(2, ByteView(text.salt)).bind_view(3, text.text);
  return write->run();
}

Result<std::optional<KeptText>> LedgerFile::text(const Digest& stand_in) {
  TRY_LET(auto* read, prepared("SELECT salt, text FROM texts WHERE sha256 = ?"));
  read->bind(1, ByteView(stand_in));
  TRY_LET(const bool row, read->step());
  if (!row) return std::optional<KeptText>{};
  KeptText text{.stand_in = stand_in, .salt = fixed<16>(read->blob(0)), .text = std::string(read->text(1))};
  read->reset();
  return std::optional(std::move(text));
}

Result<void> LedgerFile::put_patient(const KeptPatient& patient) {
  TRY_LET(auto* write,
          prepared("INSERT INTO patients (pseudonym, lookup, sealed_key, sealed_number) VALUES (?, ?, ?, ?)"));
  write->bind(1, ByteView(patient.pseudonym)).bind(2, ByteView(patient.lookup));
  write->bind(3, ByteView(patient.sealed_key)).bind(4, ByteView(patient.sealed_number));
  return write->run();
}

namespace {
std::optional<KeptPatient> patient_in(Statement& row) {
  const auto bytes = [&](int column) { return Bytes(row.blob(column).begin(), row.blob(column).end()); };
  KeptPatient patient{.pseudonym = fixed<16>(row.blob(0)),
                      .lookup = fixed<16>(row.blob(1)),
                      .sealed_key = bytes(2),
                      .sealed_number = bytes(3)};
  row.reset();
  return patient;
}
}  // namespace

Result<std::optional<KeptPatient>> LedgerFile::patient_by_lookup(const crypto::Token& lookup) {
  TRY_LET(auto* read, prepared("SELECT pseudonym, lookup, sealed_key, sealed_number FROM patients WHERE lookup = ?"));
  read->bind(1, ByteView(lookup));
  TRY_LET(const bool row, read->step());
  return row ? patient_in(*read) : std::nullopt;
}

Result<std::optional<KeptPatient>> LedgerFile::patient_by_pseudonym(const crypto::Token& pseudonym) {
  TRY_LET(auto* read,
          prepared("SELECT pseudonym, lookup, sealed_key, sealed_number FROM patients WHERE pseudonym = ?"));
  read->bind(1, ByteView(pseudonym));
  TRY_LET(const bool row, read->step());
  return row ? patient_in(*read) : std::nullopt;
}

Result<void> LedgerFile::scan_patients(const std::function<void(const crypto::Token&, std::size_t)>& visit) {
  constexpr std::size_t seal_bytes = 24 + 16;  // nonce and tag of XChaCha20-Poly1305
  TRY_LET(auto read, database_.prepare("SELECT lookup, length(sealed_number) FROM patients"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    visit(fixed<16>(read.blob(0)), static_cast<std::size_t>(read.integer(1)) - seal_bytes);
  }
}

Result<void> LedgerFile::put_checkpoint(std::int64_t size, std::string_view note) {
  TRY_LET(auto* write, prepared("INSERT OR IGNORE INTO checkpoints (size, note) VALUES (?, ?)"));
  write->bind(1, size).bind(2, note);
  return write->run();
}

Result<void> LedgerFile::replace_checkpoint(std::int64_t size, std::string_view old_note, std::string_view new_note) {
  TRY_LET(auto* write, prepared("UPDATE OR REPLACE checkpoints SET note = ? WHERE size = ? AND note = ?"));
  write->bind(1, new_note).bind(2, size).bind(3, old_note);
  return write->run();
}

Result<std::vector<std::string>> LedgerFile::checkpoints() {
  TRY_LET(auto* read, prepared("SELECT note FROM checkpoints ORDER BY size, note"));
  std::vector<std::string> notes;
  while (true) {
    TRY_LET(const bool row, read->step());
    if (!row) return notes;
    notes.emplace_back(read->text(0));
  }
}

Result<std::optional<LedgerFile::Marked>> LedgerFile::marked(std::string_view sql) {
  TRY_LET(auto* read, prepared(sql));
  TRY_LET(const bool row, read->step());
  if (!row) return std::optional<Marked>{};
  Marked found{.size = read->integer(0), .hash = fixed<32>(read->blob(1)), .mark = fixed<32>(read->blob(2))};
  read->reset();
  return std::optional(found);
}

Result<void> LedgerFile::put_marked(std::string_view sql, const Marked& marked) {
  TRY_LET(auto* write, prepared(sql));
  write->bind(1, marked.size).bind(2, ByteView(marked.hash)).bind(3, ByteView(marked.mark));
  return write->run();
}

Result<std::optional<LedgerFile::Marked>> LedgerFile::verified() {
  return marked("SELECT size, root, mark FROM verified");
}
Result<void> LedgerFile::put_verified(const Marked& marked) {
  return put_marked("INSERT OR REPLACE INTO verified (one, size, root, mark) VALUES (1, ?, ?, ?)", marked);
}
Result<std::optional<LedgerFile::Marked>> LedgerFile::latest() { return marked("SELECT size, hash, mark FROM latest"); }
Result<void> LedgerFile::put_latest(const Marked& marked) {
  return put_marked("INSERT OR REPLACE INTO latest (one, size, hash, mark) VALUES (1, ?, ?, ?)", marked);
}

}  // namespace trayproof::store
