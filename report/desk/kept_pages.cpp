#include "report/desk/kept_pages.h"

#include "ledger/base/desk_limits.h"

namespace trayproof::desk {

std::shared_ptr<const markup::Markup> KeptPages::find(const std::string& address, std::int64_t known_at,
                                                      double now_s) const {
  const std::lock_guard lock(mutex_);
  const auto found = kept_.find(address);
  if (known_at != known_at_ || found == kept_.end() || found->second.until_s < now_s) return nullptr;
  return found->second.inside;
}

void KeptPages::keep(const std::string& address, std::int64_t known_at, double now_s,
                     std::shared_ptr<const markup::Markup> inside) {
  const std::size_t size = inside->bytes().size();
  if (size > limits::desk_kept_page_bytes / 8) return;
  const std::lock_guard lock(mutex_);
  if (known_at < known_at_) return;
  // Of an older state nothing stays, also because a text may have been removed from the record since.
  if (known_at > known_at_ || bytes_ + size > limits::desk_kept_page_bytes) {
    kept_.clear();
    bytes_ = 0;
  }
  known_at_ = known_at;
  Kept& place = kept_[address];
  if (place.inside) bytes_ -= place.inside->bytes().size();
  place = {now_s + limits::desk_kept_page_seconds, std::move(inside)};
  bytes_ += size;
}

}  // namespace trayproof::desk
