// The part of verify that looks beside the chain: the file's own indexes, texts, patients' numbers and attachments must
// be what the entries say. Private to verify.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/text/json.h"
#include "ledger/verify_erased.h"

namespace trayproof {

struct Verification;
enum class Depth;
enum class EntriesHold { yes, no };

class BesideCheck {
 public:
  BesideCheck(Ledger& ledger, Verification& found) : ledger_(ledger), found_(found), erased_(ledger) {}
  // Every event in order.
  void entry(std::int64_t seq, const json::Value& event, bool has_signature);
  // Where entries themselves do not hold, the indexes made from them would only repeat it, under other seqs.
  Result<void> finish(Depth depth, EntriesHold entries_hold);

 private:
  struct Held {
    std::int64_t origin = 0;
    std::string detail;
  };
  void gather_numbers(const json::Value& event, std::int64_t seq);
  void gather_texts(const json::Value& value, std::int64_t seq);
  void follow_ids(std::int64_t seq, const json::Value& event);
  // Something is not there any more; told unless it was asked for and countersigned.
  void missing(Forgotten sort, const std::string& subject, std::int64_t seq, std::string not_asked);
  void check_destroyed(Forgotten sort, const std::function<bool(const std::string&)>& there);
  Result<void> check_introduced();
  Result<void> check_small_tables();
  Result<void> check_texts();
  Result<void> check_patients();
  Result<void> check_attachments(Depth depth);
  Result<void> check_attachment_rows();
  void problem(std::optional<std::int64_t> seq, std::string what);

  Ledger& ledger_;
  Verification& found_;
  std::unordered_map<std::string, std::int64_t> stand_ins_;   // text stand-ins (hex), first seq
  std::unordered_map<std::string, std::int64_t> pseudonyms_;  // first seq
  std::map<std::string, std::int64_t> files_;                 // attachments named, first seq
  ErasedCheck erased_;
  std::map<std::int64_t, std::int64_t> family_;                                      // correction -> origin
  std::map<std::int64_t, std::vector<std::pair<std::string, std::string>>> ids_of_;  // origin -> ids that it holds now
  std::map<std::pair<std::string, std::string>, Held> ids_;
  std::set<std::pair<std::string, std::int64_t>> landmarks_;
};

}  // namespace trayproof
