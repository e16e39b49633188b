// Fifth part of the reference: which loads and packs a trigger reaches, by `because`.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "ledger/base/result.h"
#include "tests/reference/facts.h"

namespace trayproof::reference {

// What is asked, with the subject fields of docs/recall.md; those that the `because` does not use are left out.
struct RecallRequest {
  std::string because;
  std::optional<std::string> load;
  std::optional<std::string> pack;
  std::optional<std::string> equipment;
  std::optional<Instant> at;
  std::optional<std::string> check;
  std::optional<std::string> solution;
  std::optional<std::string> lot;
  std::optional<std::string> procedure;
  std::vector<std::string> loads;
  std::vector<std::string> packs;
  std::string why;
  std::optional<Instant> as_of;
  std::optional<std::int64_t> known_at;
  Instant now;
};

struct Bound {
  std::optional<std::string> load;
  DateTime at;
};

struct Affected {
  json::Value subject = json::Value::object();
  std::optional<Bound> after;
  std::optional<Bound> before;
  // Each affected load with those of its packs that it affects.
  std::map<std::string, std::set<std::string>> loads;
  // Packs named by hand or by a lot of their own: affected also where no load holds them.
  std::set<std::string> named_packs;
  // Packs whose turn was soaked in a weak decontamination solution.
  std::set<std::string> handled_packs;
  // Procedures reached without a pack, by a disposable kit's lot.
  std::set<std::string> disposable_procedures;
  // `index-patient`: the procedure after which everything counts, and the later packs of its sets.
  const Procedure* index = nullptr;
  std::set<std::string> later_packs;

  bool reaches(const std::string& load, const std::string& pack) const;
};

// Missing: a subject that the ledger does not hold. Invalid: a subject field that the `because` needs is left out.
Result<Affected> affected_by(const Facts& facts, const RecallRequest& request);

}  // namespace trayproof::reference
