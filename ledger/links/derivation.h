// From entries to tables: takes entries in, in the order of their seq, and works out again what they touched. Inside a
// transaction of its caller. Full derivation and catching up are the same steps; a full one makes the indexes last.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/ledger.h"
#include "ledger/links/kind_tables.h"
#include "ledger/links/standing_event.h"
#include "ledger/links/statements.h"
#include "ledger/links/touched.h"

namespace trayproof::links {

// Which part of the ledger the tables show; all of it when both are absent.
struct Cut {
  std::optional<std::int64_t> known_at;  // entries up to this seq; later corrections are unknown
  std::optional<Instant> as_of;          // events whose `at` is not later, with everything that is known now
};

enum class Indexes { there, to_be_made };

class Derivation {
 public:
  Derivation(Statements& statements, const Ledger& ledger, Zone zone, Cut cut, Indexes indexes);

  Result<void> take_in(std::int64_t from, std::int64_t until);
  // After everything is taken in.
  Result<void> resolve();

  // The latest `at` of an event that was put in; the least Instant when there was none.
  Instant last_at() const { return last_at_; }

 private:
  Result<void> take(Entry entry);
  Result<void> take_correction(Entry entry);
  Result<std::optional<StandingEvent>> standing_before(std::int64_t origin, std::int64_t holder, Taking& taking);
  bool is_cut_off(const StandingEvent& event) const;

  Result<void> put(const StandingEvent& event);
  Result<void> put_rows(const StandingEvent& event);
  Result<void> put_uses(const StandingEvent& event);
  Result<void> put_move(const StandingEvent& event);
  Result<void> put_indicator(const StandingEvent& event);
  Result<void> put_mention(const Mention& mention, const StandingEvent& event, std::int64_t seq, bool holds);
  Result<void> put_unknown(std::int64_t seq, std::string_view kind, const json::Value& fields, json::Value what);
  Result<void> drop(const StandingEvent& event);
  void touch(const StandingEvent& event, const Mention& mention);
  void touch_more(const StandingEvent& event);
  // Rows of replaced entries go when the indexes are there to find them.
  Result<void> drop_replaced();

  Statements& statements_;
  const Ledger& ledger_;
  Zone zone_;
  Cut cut_;
  Indexes indexes_;
  KindTables tables_;
  Touched touched_;
  Instant last_at_{INT64_MIN};

  struct Replaced {
    std::string thing;
    std::string id;
    std::int64_t origin;
    std::int64_t seq;
  };
  std::vector<Replaced> replaced_;
};

}  // namespace trayproof::links
