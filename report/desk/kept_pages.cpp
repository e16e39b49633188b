#include "report/desk/kept_pages.h"

#include "ledger/base/desk_limits.h"

namespace trayproof::desk {

std::shared_ptr<const markup::Markup> KeptPages::find(const std::string& address, std::uint32_t state,
                                                      double now_s) const {
  const std::lock_guard lock(mutex_);
  const auto found = kept_.find(address);
  if (state != state_ || found == kept_.end() || found->second.until_s < now_s) return nullptr;
  return found->second.inside;
}

void KeptPages::keep(const std::string& address, std::uint32_t state, double now_s,
                     std::shared_ptr<const markup::Markup> inside) {
  const std::size_t size = inside->bytes().size();
  if (size > limits::desk_kept_page_bytes / 8) return;
  const std::lock_guard lock(mutex_);
  // Of another state nothing stays, also because a text may have been removed from the record since.
  if (state != state_ || bytes_ + size > limits::desk_kept_page_bytes) {
    kept_.clear();
    bytes_ = 0;
  }
  state_ = state;
  Kept& place = kept_[address];
  if (place.inside) bytes_ -= place.inside->bytes().size();
  place = {now_s + limits::desk_kept_page_seconds, std::move(inside)};
  bytes_ += size;
}

}  // namespace trayproof::desk
