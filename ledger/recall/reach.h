// What affected loads and packs reach: packs with their standing, procedures with their uses, patients, and the counts
// of both policies. docs/recall.md, "Affected packs", "Affected procedures", "Policy".
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "ledger/links/became.h"
#include "ledger/links/links.h"
#include "ledger/recall/affected.h"
#include "ledger/recall/answer.h"

namespace trayproof::recall {

class Reach {
 public:
  Reach(links::Links& links, Answer& answer)
      : links_(links), answer_(answer), procedures_{answer.procedures, {}}, handled_{answer.handled_procedures, {}} {}

  // Fills loads, packs, procedures and counts of the answer.
  Result<void> follow(const Affected& affected);

 private:
  // What is known of a pack while its rows come in; parallel to the answer's packs.
  struct Gathering {
    links::Became became;
    std::optional<std::int64_t> end_ms;  // of the latest affected load so far
    bool good_later = false;
    bool in_load = false;
  };

  Result<void> follow_packs_of(const std::string& load);
  Result<void> follow_pack_of_load(const std::string& load, const std::string& pack);
  Result<void> follow_pack(const std::string& pack);
  Result<void> follow_handled(const std::vector<std::string>& packs);
  Result<void> follow_procedures(const std::vector<std::int64_t>& origins);
  Result<void> follow_index(const std::string& procedure);
  Result<void> follow_later_pack(const std::string& pack, Span after, std::int64_t index_origin);

  // Unless it is in the answer already.
  Result<void> add_load(const std::string& load);
  void add_pack_row(const store::Statement& row, const std::string& load);
  std::size_t pack_place(std::string_view pack);
  Result<std::size_t> add_pack(const std::string& pack);
  Result<void> add_pack_without_load(const std::string& pack);
  // One procedure list of the answer and where each procedure stands in it.
  struct Procedures {
    std::vector<AffectedProcedure>& list;
    std::unordered_map<std::int64_t, std::size_t> places;
  };
  // The procedure of that origin, read when it is met for the first time.
  Result<AffectedProcedure*> procedure_of(std::int64_t origin, Procedures& into);
  // `load` as it is to be shown.
  Result<AffectedProcedure*> add_use(std::int64_t origin, std::string_view pack, std::optional<std::string> load,
                                     Procedures& into);
  bool is_whole(std::string_view load) const;

  void settle_standings();
  void settle_policy();
  void sort_all();
  void count();

  links::Links& links_;
  Answer& answer_;
  std::vector<std::string> whole_loads_;  // sorted
  std::unordered_map<std::string, std::size_t> load_places_;
  std::unordered_map<std::string, std::size_t> pack_places_;
  Procedures procedures_;
  Procedures handled_;
  std::vector<Gathering> gathering_;
};

}  // namespace trayproof::recall
