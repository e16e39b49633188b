// The part of verify that looks at erasure: what is missing beside the chain must have been asked for and
// countersigned, and what was asked for and countersigned must be gone. Private to verify.
//
// A countersignature that a restored backup does not hold any more counts when its proof came along: as an attachment
// that the repeated request names, or in the list beside the ledger (erasure_list.h). A restore whose own second person
// countersigned it vouches for the requests that it repeated.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/erasure_list.h"

namespace trayproof {

class ErasedCheck {
 public:
  explicit ErasedCheck(Ledger& ledger) : ledger_(ledger) {}
  void entry(std::int64_t seq, const json::Value& event, bool has_signature);
  // After the last entry, before the questions.
  Result<void> settle();

  enum class Standing { not_asked, awaiting, confirmed };
  struct Answer {
    Standing standing = Standing::not_asked;
    std::int64_t seq = 0;  // of the request
  };
  Answer of(Forgotten sort, const std::string& subject) const;
  // Subjects that must be gone.
  std::vector<std::pair<std::int64_t, std::string>> confirmed(Forgotten sort) const;
  // Erasures and restores whose second person signed with a key that the asker had given: one may have been both.
  struct OneHand {
    std::int64_t seq = 0;
    std::string second;
    std::int64_t key_added = 0;  // seq
  };
  std::vector<OneHand> one_hands() const;
  std::int64_t unreadable_lines() const { return unreadable_; }

 private:
  struct Request {
    std::int64_t seq = 0;
    json::Value event;
    std::int64_t restored = 0;  // seq of the ledger-restored that repeated it; 0 when it is no repeat
    std::vector<people::Countersignature> signatures;
  };
  void take_proofs(const ErasureList& list);
  bool is_confirmed(const Request& request) const;
  void note(Forgotten sort, const std::string& subject, Answer answer);

  Ledger& ledger_;
  people::KeyBook book_;
  std::map<std::int64_t, Request> requests_;  // by seq; restores too
  std::int64_t run_of_ = 0;                   // the restore whose repeated requests follow at once
  std::set<std::string> proof_files_;         // attachments that repeated requests name
  std::map<std::pair<Forgotten, std::string>, Answer> answers_;
  std::int64_t unreadable_ = 0;
};

}  // namespace trayproof
