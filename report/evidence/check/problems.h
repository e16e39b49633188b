// What a check found, each with the member of the pack that it stands in. Plain data: a broken pack is an answer.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/limits.h"
#include "ledger/base/result.h"

namespace trayproof::evidence {

struct Problem {
  std::string member;
  std::string what;
  std::optional<std::int64_t> seq = {};  // of the entry that it is about
};

class Problems {
 public:
  void add(std::string_view member, std::string what, std::optional<std::int64_t> seq = {}) {
    ++count_;
    if (kept_.size() < limits::pack_problems_kept) kept_.push_back({std::string(member), std::move(what), seq});
  }
  // An error in reading a stranger's bytes is a problem of the pack: whether there was one.
  template <typename T>
  bool take(std::string_view member, const Result<T>& read) {
    if (!read.ok()) add(member, read.error().sentence());
    return !read.ok();
  }
  std::size_t count() const { return count_; }
  const std::vector<Problem>& kept() const { return kept_; }

 private:
  std::size_t count_ = 0;
  std::vector<Problem> kept_;
};

}  // namespace trayproof::evidence
