#include "report/desk/sessions.h"

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/crypto/random.h"

namespace trayproof::desk {
namespace {

bool is_over(const Session& one, double now) {
  const bool with_pin = one.signer != nullptr;
  return now - one.last > (with_pin ? limits::desk_signed_idle_seconds : limits::desk_name_idle_seconds) ||
         now - one.began > (with_pin ? limits::desk_signed_seconds : limits::desk_name_seconds);
}

}  // namespace

std::string new_token() { return hex(crypto::random_bytes<32>()); }

std::string token_hash(std::string_view token) { return hex(crypto::sha256(as_bytes(token))); }

std::string Sessions::open(Arrival arrival, double now) {
  std::string token = new_token();
  const std::lock_guard lock(mutex_);
  std::erase_if(open_, [&](const auto& one) { return is_over(one.second, now); });
  if (open_.size() >= limits::desk_sessions) {
    open_.erase(std::min_element(open_.begin(), open_.end(),
                                 [](const auto& a, const auto& b) { return a.second.last < b.second.last; }));
  }
  open_.emplace(token_hash(token), Session{.station = std::move(arrival.station),
                                           .person = std::move(arrival.person),
                                           .signer = std::move(arrival.signer),
                                           .began = now,
                                           .last = now});
  return token;
}

std::optional<Session> Sessions::find(std::string_view token, double now) {
  const std::string hash = token_hash(token);
  const std::lock_guard lock(mutex_);
  const auto found = open_.find(hash);
  if (found == open_.end()) return std::nullopt;
  if (is_over(found->second, now)) {
    open_.erase(found);
    return std::nullopt;
  }
  found->second.last = now;
  return found->second;
}

void Sessions::end(std::string_view token) {
  const std::string hash = token_hash(token);
  const std::lock_guard lock(mutex_);
  if (const auto found = open_.find(hash); found != open_.end()) open_.erase(found);
}

void Sessions::end_of(std::string_view person) {
  const std::lock_guard lock(mutex_);
  std::erase_if(open_, [&](const auto& one) { return one.second.signer && one.second.person == person; });
}

}  // namespace trayproof::desk
