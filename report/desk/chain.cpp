#include "report/desk/chain.h"

#include <algorithm>
#include <tuple>

#include "ledger/base/desk_limits.h"
#include "report/asking/facility.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using store::Statement;

// Which packs the thing concerns.
const char* packs_of(std::string_view kind) {
  if (kind == "procedure") return "SELECT DISTINCT pack FROM uses WHERE procedure = ?1 ORDER BY pack LIMIT ?2";
  if (kind == "load") return "SELECT pack FROM load_packs WHERE load = ?1 ORDER BY pack LIMIT ?2";
  if (kind == "set") return R"(SELECT pack FROM packs WHERE "set" = ?1 ORDER BY packed_ms DESC, pack LIMIT ?2)";
  if (kind == "solution")
    return "SELECT pack FROM turns WHERE solution = ?1 GROUP BY pack ORDER BY max(at_ms) DESC, pack LIMIT ?2";
  if (kind == "pack") return "SELECT pack FROM packs WHERE pack = ?1 LIMIT ?2";
  return nullptr;
}

class Finder {
 public:
  Finder(links::Links& tables, std::string_view kind, std::string_view id) : tables_(tables) {
    chain_.kind = kind;
    chain_.id = id;
  }

  Result<Chain> run() {
    std::vector<std::string> packs;
    constexpr std::size_t most = limits::desk_chain_rows;
    if (const char* query = packs_of(chain_.kind)) {
      TRY_LET(auto* rows, tables_.statements().at(query));
      rows->bind(1, chain_.id).bind(2, static_cast<std::int64_t>(most) + 1);
      TRY(links::each_row(*rows, [&](Statement& row) { packs.emplace_back(row.text(0)); }));
    }
    for (const std::string& pack : packs) TRY(add_pack(pack));
    chain_.cut = chain_.rows.size() > most;
    if (chain_.cut) chain_.rows.resize(most);
    // Ways through one load stand together, then those to one use.
    std::stable_sort(chain_.rows.begin(), chain_.rows.end(), [](const ChainRow& a, const ChainRow& b) {
      return std::tie(a.load, a.use) < std::tie(b.load, b.use);
    });
    return std::move(chain_);
  }

 private:
  // The uses of the pack, each with its relevant load; then the loads from which it came to no use.
  Result<void> add_pack(const std::string& pack) {
    ChainRow base;
    base.pack = pack;
    TRY_LET(base.set, text_of(R"(SELECT "set" FROM packs WHERE pack = ?1)", pack));
    TRY_LET(base.solution,
            text_of("SELECT solution FROM turns WHERE pack = ?1 AND solution IS NOT NULL ORDER BY at_ms DESC", pack));
    std::vector<ChainRow> ways;
    TRY_LET(auto* uses,
            tables_.statements().at("SELECT procedure, load, use_ms FROM uses WHERE pack = ?1 ORDER BY use_ms"));
    uses->bind(1, pack);
    TRY(links::each_row(*uses, [&](Statement& row) {
      ChainRow way = base;
      way.use = row.text(0);
      way.load = row.maybe_text(1).value_or("");
      way.use_says = short_time(tables_.zone(), {row.integer(2)});
      ways.push_back(std::move(way));
    }));
    TRY_LET(auto* loads, tables_.statements().at(
                             "SELECT load, standing, place FROM load_packs WHERE pack = ?1 ORDER BY end_ms, load"));
    loads->bind(1, pack);
    TRY(links::each_row(*loads, [&](Statement& row) {
      const std::string load(row.text(0));
      if (std::any_of(ways.begin(), ways.end(), [&](const ChainRow& way) { return way.load == load; })) return;
      ChainRow way = base;
      way.load = load;
      way.ended = spelled(row.text(1));
      if (const auto place = row.maybe_text(2)) way.ended += ", " + *place;
      ways.push_back(std::move(way));
    }));
    if (ways.empty()) ways.push_back(base);
    for (ChainRow& way : ways) {
      if (chain_.kind == "procedure" && way.use != chain_.id) continue;
      if (chain_.kind == "load" && way.load != chain_.id) continue;
      TRY(tell_load(way));
      if (std::find(chain_.rows.begin(), chain_.rows.end(), way) == chain_.rows.end())
        chain_.rows.push_back(std::move(way));
    }
    return {};
  }

  Result<std::string> text_of(const char* query, const std::string& pack) {
    std::string text;
    TRY_LET(auto* found, tables_.statements().at(query));
    found->bind(1, pack);
    TRY(links::first_row(*found, [&](Statement& row) { text = row.maybe_text(0).value_or(""); }));
    return text;
  }

  Result<void> tell_load(ChainRow& way) {
    if (way.load.empty()) return {};
    TRY_LET(auto* load,
            tables_.statements().at("SELECT equipment, decision, curve_verdict FROM loads WHERE load = ?1"));
    load->bind(1, way.load);
    TRY(links::first_row(*load, [&](Statement& row) {
      for (const auto& one : {row.maybe_text(1), row.maybe_text(2)}) {
        if (one) way.load_says += (way.load_says.empty() ? "" : ", ") + spelled(*one);
      }
      if (const auto machine = row.maybe_text(0)) way.load_says += (way.load_says.empty() ? "" : ", ") + *machine;
    }));
    return {};
  }

  links::Links& tables_;
  Chain chain_;
};

}  // namespace

Result<Chain> chain_of(links::Links& tables, std::string_view kind, std::string_view id) {
  return Finder(tables, kind, id).run();
}

}  // namespace trayproof::desk
