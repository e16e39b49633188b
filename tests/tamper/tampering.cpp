#include "tests/tamper/tampering.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>

#include "ledger/base/check.h"
#include "tests/support/unguarded.h"

namespace trayproof::tests {

void write_bytes(const std::string& path, std::string_view bytes) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  CHECK(fd >= 0);
  for (std::size_t at = 0; at < bytes.size();) {
    const auto written = ::write(fd, bytes.data() + at, bytes.size() - at);
    CHECK(written > 0);
    at += static_cast<std::size_t>(written);
  }
  ::close(fd);
}

void put_byte(const std::string& path, std::size_t at, char byte) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  CHECK(fd >= 0);
  CHECK(::pwrite(fd, &byte, 1, static_cast<::off_t>(at)) == 1);
  ::close(fd);
}

// Pages of the least size: more of them, inner ones too, and less room where nothing stands.
Tampering::Tampering(Curve curve) : clock_(noon()), path_(ward_.folder().file("copy.trayproof")) {
  fill_small(ward_, curve);
  keys_ = file_bytes(ward_.path() + ".keys");
  pristine_ = file_bytes(ward_.path());
  fresh_copy();
  {
    auto database = store::Database::open(path_, store::Access::write);
    CHECK(database.ok() && database.value().run("PRAGMA page_size = 512; VACUUM").ok());
  }
  pristine_ = file_bytes(path_);
  Ledger ledger = opened(path_, clock_, store::Access::read);
  for (std::int64_t seq = 1; seq <= size(); ++seq) {
    const json::Value event = ward_.entry(seq);
    if (ledger.entry(seq).value().sig.empty()) continue;
    const auto from = static_cast<std::int64_t>(event.number_at("signs").value_or(static_cast<double>(seq)));
    covered_from_.resize(static_cast<std::size_t>(seq), from);
  }
  kept_ = kept_answers(ledger);
  verbs_ = verb_answers(path_, clock_);
  for (const auto& answers : {kept_, verbs_}) {
    for (const auto& [name, answer] : answers) {
      if (answer.given) continue;
      std::fprintf(stderr, "tampering: %s: %s\n", name.c_str(), answer.text.c_str());
      std::abort();
    }
  }
  fresh_copy();
}

void Tampering::fresh_copy() {
  write_bytes(path_, pristine_);
  write_bytes(path_ + ".keys", keys_);
  std::remove((path_ + "-journal").c_str());
  remove_tables();
}

void Tampering::remove_tables() {
  std::remove((path_ + ".links").c_str());
  std::remove((path_ + ".links-journal").c_str());
}

bool Tampering::run(const std::string& sql) {
  auto database = store::Database::open(path_, store::Access::write);
  return database.ok() &&
         database.value()
             .run("PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY; PRAGMA foreign_keys = OFF")
             .ok() &&
         run_unguarded(database.value(), sql);
}

bool Tampering::named(std::int64_t seq) const {
  if (!first_seq_ || *first_seq_ > seq) return false;
  const auto at = static_cast<std::size_t>(seq);
  return *first_seq_ == seq || (seq >= 1 && at <= covered_from_.size() && *first_seq_ >= covered_from_[at - 1]);
}

bool Tampering::tells(Ledger& ledger, Depth depth) {
  const auto found = verify(ledger, depth);
  first_seq_.reset();
  if (!found.ok()) {
    last_word_ = "verify could not be done: " + found.error().sentence();
    return true;
  }
  last_word_.clear();
  for (const Problem& one : found.value().problems) last_word_ += one.what + "; ";
  if (found.value().problems.empty()) return false;
  first_seq_ = found.value().problems.front().seq;
  return true;
}

std::string Tampering::changed(Ledger& ledger, Ask ask) {
  const Answers kept = kept_answers(ledger);
  std::string names = different(kept_, kept) + refused(kept_, kept);
  if (ask == Ask::kept || !names.empty()) return names;
  remove_tables();
  const Answers verbs = verb_answers(path_, clock_);
  remove_tables();
  return different(verbs_, verbs) + refused(verbs_, verbs);
}

Fate Tampering::fate(Ask ask) {
  // For reading: verify then leaves no mark, and the copy stays as it was damaged.
  auto ledger = Ledger::open(path_, clock_, store::Access::read);
  if (!ledger.ok()) {
    last_word_ = "not opened: " + ledger.error().sentence();
    first_seq_.reset();
    return Fate::closed;
  }
  if (tells(ledger.value(), Depth::usual)) return Fate::told;
  if (tells(ledger.value(), Depth::full)) {
    const std::string names = different(kept_, kept_answers(ledger.value()));
    if (names.empty()) return Fate::told_in_full;
    last_word_ = "only verify --full tells, and answered otherwise: " + names;
    return Fate::unseen;
  }
  const std::string names = changed(ledger.value(), ask);
  if (names.empty()) return Fate::unchanged;
  last_word_ = "answered otherwise or refused: " + names;
  return Fate::unseen;
}

std::string Tally::text() const {
  const auto of = [this](Fate fate) { return std::to_string(by_fate[static_cast<std::size_t>(fate)]); };
  return std::to_string(tried) + " changes: " + of(Fate::closed) + " not opened, " + of(Fate::told) + " told, " +
         of(Fate::told_in_full) + " told by --full, " + of(Fate::unchanged) + " without any answer changed, " +
         of(Fate::unseen) + " unseen";
}

std::string Table::where_row(std::int64_t row) const {
  std::string all;
  for (const std::string& one : columns) all += (all.empty() ? "\"" : ", \"") + one + "\"";
  return " WHERE (" + all + ") IS (SELECT " + all + " FROM " + name + " ORDER BY " + all + " LIMIT 1 OFFSET " +
         std::to_string(row) + ")";
}

std::vector<Table> tables_of(const std::string& path) {
  auto database = store::Database::open(path, store::Access::read);
  CHECK(database.ok());
  std::vector<Table> tables;
  {
    auto read = database.value().prepare(
        "SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c WHERE m.type = 'table' ORDER BY 1, 2");
    CHECK(read.ok());
    while (read.value().step().value()) {
      const std::string name(read.value().text(0));
      if (tables.empty() || tables.back().name != name) tables.push_back({.name = name, .columns = {}, .rows = 0});
      tables.back().columns.emplace_back(read.value().text(1));
    }
  }
  for (Table& table : tables) {
    auto count = database.value().prepare("SELECT count(*) FROM " + table.name);
    CHECK(count.ok() && count.value().step().ok());
    table.rows = count.value().integer(0);
  }
  return tables;
}

std::optional<std::string> asked(const std::string& path, const std::string& sql) {
  auto database = store::Database::open(path, store::Access::read);
  if (!database.ok()) return std::nullopt;
  auto read = database.value().prepare(sql);
  if (!read.ok()) return std::nullopt;
  const auto row = read.value().step();
  if (!row.ok() || !row.value()) return std::nullopt;
  return std::string(read.value().text(0));
}

}  // namespace trayproof::tests
