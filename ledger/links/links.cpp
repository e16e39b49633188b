#include "ledger/links/links.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <utility>

#include "ledger/links/derivation_version.h"
#include "ledger/links/schema.h"
#include "ledger/store/structure.h"
#include "ledger/words/words.h"

namespace trayproof::links {
namespace {

Result<store::Database> open_file(const std::string& path) {
  TRY_LET(store::Database database, store::Database::open_or_create(path));
  // Nothing is lost with this file, so no removal of a journal is waited for: a journal that comes back after a power
  // cut leads to older tables, which are caught up. FULL all the same, since with NORMAL one that came to the disk in
  // part may be taken for whole.
  TRY(
      database.run("PRAGMA journal_mode = DELETE; PRAGMA synchronous = FULL; PRAGMA cache_size = -65536; PRAGMA "
                   "temp_store = MEMORY;"));
  return database;
}

std::string quoted(std::string_view name) {
  std::string out = "\"";
  for (const char c : name) out.append(c == '"' ? 2 : 1, c);
  return out + '"';
}

// While everything is derived, every table is written and read again all over: with the room that answers need, its
// pages would go to the disk and back many times.
class RoomToDerive {
 public:
  static Result<RoomToDerive> take(store::Database& database) {
    TRY(database.run("PRAGMA cache_size = -262144"));
    return RoomToDerive(database);
  }
  RoomToDerive(RoomToDerive&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
  RoomToDerive& operator=(RoomToDerive&&) = delete;
  ~RoomToDerive() {
    // Without it the connection keeps the larger room, which costs memory and nothing else.
    if (database_ != nullptr) (void)database_->run("PRAGMA cache_size = -65536; PRAGMA shrink_memory").ok();
  }

 private:
  explicit RoomToDerive(store::Database& database) : database_(&database) {}
  store::Database* database_;
};

// Some three hundred tables and indexes take longer to make than a few entries to derive: then they are copied. With
// many entries it is better to make the indexes last.
constexpr std::int64_t few_entries = 1000;

Result<std::string> make_empty_tables() {
  TRY_LET(store::Database made, store::Database::in_memory());
  TRY(made.run(kind_tables_sql() + layer_two_tables_sql() + kind_indexes_sql() + layer_two_indexes_sql()));
  return made.image();
}

const Result<std::string>& empty_tables() {
  static const Result<std::string> image = make_empty_tables();
  return image;
}

void remove_file(const std::string& path) {
  std::remove(path.c_str());
  std::remove((path + "-journal").c_str());
}

}  // namespace

struct Links::Watermark {
  std::int64_t seq = 0;
  Digest hash{};
  std::string ledger;
  std::string version;
  std::string zone;
  Instant last_at;
};

Links::Links(const Ledger& ledger, store::Database database, bool in_memory, Cut cut)
    : ledger_(&ledger),
      database_(std::make_unique<store::Database>(std::move(database))),
      statements_(std::make_unique<Statements>(*database_)),
      cut_(cut),
      in_memory_(in_memory) {}

Result<Links> Links::open_file_of(const Ledger& ledger) {
  TRY_LET(store::Database database, open_file(ledger.path() + ".links"));
  Links links(ledger, std::move(database), false, {});
  TRY(links.catch_up());
  return links;
}

// A file that is damaged, or no database at all, is thrown away. Where there can be none (a folder that cannot be
// written, a file that somebody else holds for too long), the tables stand in memory; if the ledger itself cannot be
// read, that fails with the true reason.
Result<Links> Links::open(const Ledger& ledger) {
  auto links = open_file_of(ledger);
  if (!links.ok() && links.error().code() == ErrorCode::corrupt) {
    remove_file(ledger.path() + ".links");
    links = open_file_of(ledger);
  }
  if (links.ok()) return links;
  return derive_in_memory(ledger, {});
}

Result<Links> Links::derive_in_memory(const Ledger& ledger, const Cut& cut) {
  TRY_LET(const store::ChainHead head, ledger.head());
  const bool few = head.seq <= few_entries;
  if (few && !empty_tables().ok()) return Error(empty_tables().error());
  TRY_LET(store::Database memory,
          few ? store::Database::in_memory_of(empty_tables().value()) : store::Database::in_memory());
  Links links(ledger, std::move(memory), true, cut);
  links.empty_ = few;
  TRY(links.derive_again());
  return links;
}

Result<std::optional<Links::Watermark>> Links::watermark() {
  bool there = false;
  TRY_LET(auto table, database_->prepare("SELECT count(*) FROM sqlite_master WHERE name = 'watermark'"));
  TRY(first_row(table, [&](store::Statement& row) { there = row.integer(0) > 0; }));
  if (!there) return std::optional<Watermark>();
  auto read = database_->prepare("SELECT seq, hash, ledger, version, zone, last_at_ms FROM watermark");
  if (!read.ok()) return std::optional<Watermark>();  // of another version
  std::optional<Watermark> mark;
  TRY(first_row(read.value(), [&](store::Statement& row) {
    Watermark found{row.integer(0),  {}, std::string(row.text(2)), std::string(row.text(3)), std::string(row.text(4)),
                    {row.integer(5)}};
    const ByteView hash = row.blob(1);
    if (hash.size() == found.hash.size()) std::copy(hash.begin(), hash.end(), found.hash.begin());
    mark = std::move(found);
  }));
  return mark;
}

// Whether the tables are this ledger's, of this version, and all there; then they are what this handle stands on.
Result<bool> Links::take_over(const Watermark& mark) {
  if (mark.version != derivation_version || mark.ledger != ledger_->ledger_id()) return false;
  TRY(has_every_page());
  TRY_LET(const bool whole, has_every_table());
  auto zone = Zone::find(mark.zone);
  if (!whole || !zone.ok()) return false;
  zone_ = std::move(zone).value();
  known_at_ = mark.seq;
  last_at_ = mark.last_at;
  return true;
}

// Nothing else either: a planted trigger or view would change what is derived.
// Corrupt when the file is shorter than it says: SQLite reads what is missing at its end as zeros.
Result<void> Links::has_every_page() {
  if (in_memory_) return {};
  const auto number = [&](const char* pragma) -> Result<std::uint64_t> {
    std::uint64_t found = 0;
    TRY_LET(auto read, database_->prepare(pragma));
    TRY(first_row(read, [&](store::Statement& row) { found = static_cast<std::uint64_t>(row.integer(0)); }));
    return found;
  };
  TRY_LET(const auto pages, number("PRAGMA page_count"));
  TRY_LET(const auto page_bytes, number("PRAGMA page_size"));
  std::error_code unknown;
  const auto bytes = std::filesystem::file_size(ledger_->path() + ".links", unknown);
  if (unknown || bytes >= pages * page_bytes) return {};
  return Error(ErrorCode::corrupt, say("links.cut-short", {{"path", ledger_->path() + ".links"}}));
}

Result<bool> Links::has_every_table() {
  static const std::string expected = store::without_comments(kind_tables_sql() + kind_indexes_sql() +
                                                              layer_two_tables_sql() + layer_two_indexes_sql());
  TRY_LET(const auto foreign, store::first_foreign_object(*database_, expected));
  return !foreign;
}

Result<void> Links::put_watermark(std::int64_t seq, Instant last_at) {
  Digest hash{};
  if (seq > 0) {
    TRY_LET(const store::Entry entry, ledger_->entry(seq));
    hash = entry.hash;
  }
  TRY_LET(auto row, database_->prepare("INSERT OR REPLACE INTO watermark VALUES (1, ?, ?, ?, ?, ?, ?)"));
  row.bind(1, ledger_->ledger_id())
      .bind(2, seq)
      .bind(3, ByteView(hash))
      .bind(4, derivation_version)
      .bind(5, zone_.name());
  TRY(row.bind(6, last_at.ms).run());
  known_at_ = seq;
  last_at_ = last_at;
  return {};
}

Result<std::optional<Zone>> Links::zone_described() {
  std::optional<std::string> name;
  TRY_LET(auto* const read,
          statements_->at("SELECT zone FROM facility_described ORDER BY at_ms DESC, origin DESC LIMIT 1"));
  TRY(first_row(*read, [&](store::Statement& row) { name = row.maybe_text(0); }));
  if (!name) return std::optional<Zone>();
  TRY_LET(Zone zone, Zone::find(*name));
  return std::optional(std::move(zone));
}

// Of the last entry but for corrections that describes the facility: a guess, which the tables then confirm or not.
Result<std::optional<Zone>> Links::zone_likely(std::int64_t until) {
  TRY_LET(const auto described, ledger_->file().landmarks("facility-described"));
  const auto last = std::find_if(described.rbegin(), described.rend(), [&](std::int64_t seq) { return seq <= until; });
  if (last == described.rend()) return std::optional<Zone>();
  TRY_LET(const store::Entry entry, ledger_->entry(*last));
  TRY_LET(const auto event, json::parse(entry.bytes));
  auto zone = Zone::find(event.text_at("zone").value_or(""));
  return zone.ok() ? std::optional(std::move(zone).value()) : std::optional<Zone>();
}

Result<void> Links::make_tables() {
  // Statements of the old tables must be gone before the tables go.
  statements_->clear();
  std::string drops;
  TRY_LET(auto tables,
          database_->prepare(
              "SELECT type, name FROM sqlite_master WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite\\_%' "
              "ESCAPE '\\'"));
  TRY(each_row(tables, [&](store::Statement& row) {
    drops += "DROP " + std::string(row.text(0)) + " " + quoted(row.text(1)) + ";";
  }));
  TRY(database_->run(drops));
  return database_->run(kind_tables_sql() + layer_two_tables_sql());
}

// Dates are read in the facility's zone, which itself stands in the events: if it turns out to be another than was
// taken for granted, everything is read once more.
Result<void> Links::derive_all(std::int64_t until) {
  TRY_LET(const RoomToDerive room, RoomToDerive::take(*database_));
  TRY_LET(auto likely, zone_likely(until));
  if (likely) zone_ = std::move(*likely);
  for (int attempt = 0; attempt < 2; ++attempt) {
    const bool made = std::exchange(empty_, false);
    if (!made) TRY(make_tables());
    Derivation derivation(*statements_, *ledger_, zone_, cut_, made ? Indexes::there : Indexes::to_be_made);
    TRY(derivation.take_in(1, until));
    TRY_LET(const std::optional<Zone> described, zone_described());
    if (described && described->name() != zone_.name()) {
      zone_ = *described;
      continue;
    }
    TRY(derivation.resolve());
    return put_watermark(until, derivation.last_at());
  }
  return Error(ErrorCode::corrupt, say("links.zone-unsettled"));
}

// The file is made anew, since a damaged one cannot be emptied without leaving damage; others that have it open see
// that it is gone.
Result<void> Links::rebuild() {
  if (cut_.as_of || cut_.known_at) return derive_again();
  {
    // Not while another program writes there.
    const auto alone = store::Transaction::begin(*database_);
    if (!alone.ok() && alone.error().code() == ErrorCode::unavailable) return alone.error();
    remove_file(ledger_->path() + ".links");
  }
  TRY_LET(Links again, open_file_of(*ledger_));
  *this = std::move(again);
  return {};
}

Result<void> Links::derive_again() {
  TRY_LET(store::Transaction transaction, store::Transaction::begin(*database_));
  TRY_LET(const store::ChainHead head, ledger_->head());
  std::int64_t until = head.seq;
  if (cut_.known_at) until = std::min(until, *cut_.known_at);
  TRY(derive_all(until));
  return transaction.commit();
}

Result<void> Links::catch_up() {
  if (cut_.as_of || cut_.known_at) return {};
  if (!in_memory_ && !database_->still_there().ok()) {
    // The file may be removed at any time.
    TRY_LET(Links again, open(*ledger_));
    *this = std::move(again);
    return {};
  }
  TRY_LET(const store::ChainHead head, ledger_->head());
  {
    // Most often there is nothing to do, and then nothing is locked.
    TRY_LET(const auto mark, watermark());
    if (mark && mark->seq == head.seq && mark->hash == head.hash && known_at_ == head.seq) return {};
    if (mark && mark->seq == head.seq && mark->hash == head.hash) {
      TRY_LET(const bool taken, take_over(*mark));
      if (taken) return {};
    }
  }
  TRY_LET(store::Transaction transaction, store::Transaction::begin(*database_));
  TRY_LET(const auto mark, watermark());
  bool fits = false;
  if (mark && mark->seq <= head.seq) {
    Digest hash{};
    if (mark->seq > 0) {
      TRY_LET(const store::Entry entry, ledger_->entry(mark->seq));
      hash = entry.hash;
    }
    if (mark->hash == hash) {
      TRY_LET(fits, take_over(*mark));
    }
  }
  if (!fits) {
    TRY(derive_all(head.seq));
  } else if (mark->seq < head.seq) {
    Derivation derivation(*statements_, *ledger_, zone_, cut_, Indexes::there);
    TRY(derivation.take_in(mark->seq + 1, head.seq));
    TRY(derivation.resolve());
    TRY_LET(const std::optional<Zone> described, zone_described());
    if (described && described->name() != zone_.name()) {
      zone_ = *described;
      TRY(derive_all(head.seq));
    } else {
      TRY(put_watermark(head.seq, std::max(mark->last_at, derivation.last_at())));
    }
  }
  return transaction.commit();
}

}  // namespace trayproof::links
