#include "report/register/past.h"

#include <algorithm>
#include <charconv>

#include "ledger/words/words.h"

namespace trayproof::registry {
namespace {

// One number a ledger, from its random id. Two ledgers that share it only wait for each other.
std::int64_t lock_of(const std::string& ledger) {
  std::uint64_t number = 0;
  std::from_chars(ledger.data(), ledger.data() + std::min<std::size_t>(ledger.size(), 16), number, 16);
  return static_cast<std::int64_t>(number >> 1);
}

// The peaks of a tree of `size` leaves, each over as many as its bit of the size tells.
Result<parcel::PeakTree> frontier_of(std::int64_t size, const Bytes& peaks) {
  parcel::PeakTree tree;
  std::size_t at = 0;
  const auto leaves = static_cast<std::uint64_t>(size);
  for (std::uint64_t bit = std::uint64_t{1} << 62; bit > 0; bit >>= 1) {
    if ((leaves & bit) == 0) continue;
    Digest root{};
    if (at + root.size() > peaks.size()) return Error(ErrorCode::corrupt, say("district.peaks"));
    std::copy_n(peaks.begin() + static_cast<std::ptrdiff_t>(at), root.size(), root.begin());
    at += root.size();
    tree.add_subtree(root, bit);
  }
  if (at != peaks.size()) return Error(ErrorCode::corrupt, say("district.peaks"));
  return tree;
}

}  // namespace

const std::string present_pasts =
    "SELECT DISTINCT ON (l.ledger) l.ledger, l.line, coalesce((SELECT max(s.size) FROM register.states s WHERE "
    "s.ledger "
    "= l.ledger AND s.line = l.line), l.base_size) AS size FROM register.lines l WHERE l.why <> 'fork' ORDER BY "
    "l.ledger, l.line DESC";

Result<Past> Past::lock(Connection& connection, const std::string& ledger) {
  TRY(connection.ask("SELECT pg_advisory_xact_lock($1::bigint)", Parameters().add(lock_of(ledger))));
  return read(connection, ledger);
}

Result<std::optional<Past>> Past::try_lock(Connection& connection, const std::string& ledger) {
  TRY_LET(const Rows got,
          connection.ask("SELECT pg_try_advisory_xact_lock($1::bigint)", Parameters().add(lock_of(ledger))));
  if (got.text(0, 0) != "t") return std::optional<Past>();
  TRY_LET(auto past, read(connection, ledger));
  return std::optional(std::move(past));
}

Result<Past> Past::read(Connection& connection, const std::string& ledger) {
  Past past(connection, ledger);
  TRY(past.read_lines());
  return past;
}

Result<void> Past::read_lines() {
  TRY_LET(const Rows rows,
          connection_->ask("SELECT l.line, l.why, coalesce(l.base_line, 0), l.base_size, "
                           "coalesce((SELECT max(size) FROM register.states s WHERE s.ledger = l.ledger "
                           "AND s.line = l.line), l.base_size), p.line IS NOT NULL FROM register.lines l LEFT JOIN (" +
                               present_pasts +
                               ") p ON p.ledger = l.ledger AND p.line = l.line WHERE l.ledger = $1 ORDER BY l.line",
                           Parameters().add(ledger_)));
  for (int row = 0; row < rows.count(); ++row) {
    lines_.push_back({.line = rows.integer(row, 0),
                      .why = std::string(rows.text(row, 1)),
                      .base_line = rows.integer(row, 2),
                      .base_size = rows.integer(row, 3),
                      .size = rows.integer(row, 4),
                      .present = rows.text(row, 5) == "t"});
  }
  return {};
}

const Line* Past::find(std::int64_t line) const {
  const auto found = std::find_if(lines_.begin(), lines_.end(), [&](const Line& one) { return one.line == line; });
  return found == lines_.end() ? nullptr : &*found;
}

const Line* Past::present() const {
  const auto found = std::find_if(lines_.begin(), lines_.end(), [](const Line& one) { return one.present; });
  return found == lines_.end() ? nullptr : &*found;
}

bool Past::is_fork(const Line& line) const {
  for (const Line* one = &line; one != nullptr; one = find(one->base_line)) {
    if (one->why == "fork") return true;
  }
  return false;
}

std::int64_t Past::size_most() const {
  std::int64_t most = 0;
  for (const Line& one : lines_) most = std::max(most, one.size);
  return most;
}

std::vector<Past::Stretch> Past::stretches(const Line& line, std::int64_t until) const {
  std::vector<Stretch> found;
  std::int64_t last = std::min(until, line.size);
  for (const Line* one = &line; one != nullptr && last > 0; one = find(one->base_line)) {
    if (last > one->base_size) found.push_back({one->line, one->base_size + 1, last});
    last = std::min(last, one->base_size);
  }
  std::reverse(found.begin(), found.end());
  return found;
}

Result<std::optional<Digest>> Past::hash_at(const Line& line, std::int64_t seq) {
  if (seq == 0) return std::optional(Digest{});
  TRY_LET(const auto found, hashes(line, seq, 1));
  return found.empty() ? std::optional<Digest>() : std::optional(found.front());
}

Result<std::vector<Digest>> Past::hashes(const Line& line, std::int64_t from, std::int64_t count) {
  std::vector<Digest> out;
  const std::int64_t until = std::min(from + count - 1, line.size);
  for (const Stretch& one : stretches(line, until)) {
    if (one.until < from) continue;
    TRY_LET(const Rows rows,
            connection_->ask("SELECT hash FROM register.entries WHERE ledger = $1 AND line = $2 AND seq "
                             "BETWEEN $3 AND $4 ORDER BY seq",
                             Parameters().add(ledger_).add(one.line).add(std::max(from, one.from)).add(one.until)));
    for (int row = 0; row < rows.count(); ++row) out.push_back(rows.digest(row, 0));
  }
  if (static_cast<std::int64_t>(out.size()) != std::max<std::int64_t>(until - from + 1, 0))
    return Error(ErrorCode::corrupt, say("district.entries-missing", {{"ledger", ledger_}}));
  return out;
}

// From the nearest state that is kept, and the hashes behind it.
Result<parcel::PeakTree> Past::tree_at(const Line& line, std::int64_t size) {
  parcel::PeakTree tree;
  for (const Stretch& one : stretches(line, size)) {
    TRY_LET(const Rows rows,
            connection_->ask("SELECT size, peaks FROM register.states WHERE ledger = $1 AND line = $2 AND "
                             "size <= $3 ORDER BY size DESC LIMIT 1",
                             Parameters().add(ledger_).add(one.line).add(one.until)));
    if (rows.count() == 0) continue;
    TRY_LET(tree, frontier_of(rows.integer(0, 0), rows.blob(0, 1)));
  }
  constexpr std::int64_t page = 10'000;
  while (static_cast<std::int64_t>(tree.size()) < size) {
    const auto from = static_cast<std::int64_t>(tree.size()) + 1;
    TRY_LET(const auto next, hashes(line, from, std::min(page, size - from + 1)));
    if (next.empty()) return Error(ErrorCode::corrupt, say("district.entries-missing", {{"ledger", ledger_}}));
    for (const Digest& hash : next) tree.add(hash);
  }
  return tree;
}

Result<parcel::Before> Past::before(const Line& line, std::int64_t size) {
  parcel::Before held;
  TRY_LET(const auto last, hash_at(line, size));
  if (!last) return Error(ErrorCode::corrupt, say("district.entries-missing", {{"ledger", ledger_}}));
  held.last_hash = *last;
  TRY_LET(held.tree, tree_at(line, size));
  for (const Stretch& one : stretches(line, size)) {
    TRY(
        connection_->each("SELECT seq, entry FROM register.entries WHERE ledger = $1 AND line = $2 AND seq BETWEEN $3 "
                          "AND $4 AND (seq = 1 OR "
                          "kind IN ('key-added', 'key-retired')) ORDER BY seq",
                          Parameters().add(ledger_).add(one.line).add(one.from).add(one.until),
                          [&](const Rows& rows, int row) -> Result<void> {
                            TRY_LET(auto event, json::parse(rows.text(row, 1)));
                            held.kept.emplace_back(rows.integer(row, 0), std::move(event));
                            return {};
                          }));
  }
  return held;
}

Result<void> Past::scan(const Line& line,
                        const std::function<Result<void>(std::int64_t seq, std::string_view entry, const Digest& hash,
                                                         const Bytes& sig)>& visit) {
  for (const Stretch& one : stretches(line, line.size)) {
    TRY(connection_->each(
        "SELECT seq, entry, hash, sig FROM register.entries WHERE ledger = $1 AND line = $2 AND seq BETWEEN "
        "$3 AND $4 ORDER BY seq",
        Parameters().add(ledger_).add(one.line).add(one.from).add(one.until), [&](const Rows& rows, int row) {
          return visit(rows.integer(row, 0), rows.text(row, 1), rows.digest(row, 2), rows.blob(row, 3));
        }));
  }
  return {};
}

Result<std::optional<std::string>> Past::co_signed() const {
  TRY_LET(const Rows rows,
          connection_->ask("SELECT checkpoint || cosigned FROM register.states WHERE ledger = $1 AND cosigned "
                           "IS NOT NULL ORDER BY size DESC LIMIT 1",
                           Parameters().add(ledger_)));
  return rows.count() == 0 ? std::optional<std::string>() : rows.maybe_text(0, 0);
}

}  // namespace trayproof::registry
