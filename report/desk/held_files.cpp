#include "report/desk/held_files.h"

#include <algorithm>

#include "ledger/base/bytes.h"
#include "ledger/base/desk_limits.h"
#include "ledger/crypto/random.h"

namespace trayproof::desk {

std::string HeldFiles::hold(HeldFile file, double now_s) {
  const std::lock_guard lock(mutex_);
  forget_old(now_s);
  const std::size_t size = file.bytes.size();
  while (!held_.empty() && (held_.size() >= limits::desk_held_files || bytes_ + size > limits::desk_held_bytes)) {
    bytes_ -= held_.front().file->bytes.size();
    held_.pop_front();
  }
  std::string token = hex(crypto::random_bytes<16>());
  bytes_ += size;
  held_.push_back({token, std::make_shared<const HeldFile>(std::move(file)), now_s + limits::desk_held_seconds});
  return token;
}

std::shared_ptr<const HeldFile> HeldFiles::find(std::string_view token, std::string_view station, double now_s) {
  const std::lock_guard lock(mutex_);
  forget_old(now_s);
  for (const Held& one : held_) {
    if (one.token == token && one.file->station == station) return one.file;
  }
  return nullptr;
}

void HeldFiles::drop(std::string_view token) {
  const std::lock_guard lock(mutex_);
  const auto found = std::find_if(held_.begin(), held_.end(), [&](const Held& one) { return one.token == token; });
  if (found == held_.end()) return;
  bytes_ -= found->file->bytes.size();
  held_.erase(found);
}

void HeldFiles::forget_old(double now_s) {
  while (!held_.empty() && held_.front().until_s < now_s) {
    bytes_ -= held_.front().file->bytes.size();
    held_.pop_front();
  }
}

}  // namespace trayproof::desk
