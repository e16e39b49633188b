#include "report/command/editions.h"

#include "ledger/sop/kept.h"
#include "ledger/words/words.h"

namespace trayproof::command {

Result<std::string> toml_of(const Ledger& ledger, std::int64_t seq) {
  TRY_LET(const auto entry, ledger.entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  return std::string(event.text_at("toml").value_or(""));
}

Result<std::vector<std::string>> unknown_in(const Ledger& ledger, std::int64_t seq) {
  TRY_LET(const std::string toml, toml_of(ledger, seq));
  return sop::read_kept(toml).unknown;
}

std::string unknown_line(std::int64_t seq, const std::vector<std::string>& names) {
  return say("command.sop-unknown", {{"seq", std::to_string(seq)}, {"keys", listed(names)}});
}

Result<std::vector<std::int64_t>> confirmed_editions(store::Database& tables) {
  TRY_LET(auto rows, tables.prepare("SELECT sop FROM sop_confirmed WHERE sop IS NOT NULL"));
  std::vector<std::int64_t> seqs;
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return seqs;
    seqs.push_back(rows.integer(0));
  }
}

Result<std::optional<people::Second>> confirmation_of(const Ledger& ledger, store::Database& tables, std::int64_t sop) {
  TRY_LET(auto rows, tables.prepare("SELECT seq FROM sop_confirmed WHERE sop = ? ORDER BY seq"));
  rows.bind(1, sop);
  std::optional<people::Second> found;
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return found;
    TRY_LET(const auto second, ledger.second(rows.integer(0)));
    if (!found || second.second != people::Second::awaiting) found = second.second;
    if (*found != people::Second::awaiting) return found;
  }
}

}  // namespace trayproof::command
