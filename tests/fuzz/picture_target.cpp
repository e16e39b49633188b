#include "ledger/base/desk_limits.h"
#include "report/photo/picture.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {

// What is taken for a picture has as many pixels as it says, and no more than are allowed; the same bytes are the same picture.
void picture(std::string_view bytes) {
  const auto read = photo::read_picture(as_bytes(bytes));
  const auto* grey = std::get_if<photo::Grey>(&read);
  if (grey == nullptr) return;
  must_hold(grey->width > 0 && grey->height > 0, "a picture has a size");
  must_hold(grey->width <= limits::photo_side && grey->height <= limits::photo_side, "no side is longer than allowed");
  must_hold(grey->pixels.size() == static_cast<std::size_t>(grey->width) * static_cast<std::size_t>(grey->height),
            "as many pixels as it says");
  const auto again = photo::read_picture(as_bytes(bytes));
  const auto* same = std::get_if<photo::Grey>(&again);
  must_hold(same != nullptr && same->pixels == grey->pixels, "the same bytes are the same picture");
}

}  // namespace trayproof::fuzz
