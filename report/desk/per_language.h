// What depends on nothing but the language it is said in: made once in each, at its first use. From any thread.
#pragma once

#include <array>
#include <mutex>

#include "ledger/words/language.h"

namespace trayproof::desk {

template <typename Made>
class PerLanguage {
 public:
  // `make` says its texts in the language of the thread and looks at nothing else.
  explicit PerLanguage(Made (*make)()) : make_(make) {}

  // In the language of this thread.
  const Made& now() {
    Place& place = places_.at(static_cast<std::size_t>(language()));
    std::call_once(place.once, [&] { place.made = make_(); });
    return place.made;
  }

 private:
  struct Place {
    std::once_flag once;
    Made made;
  };
  Made (*make_)();
  std::array<Place, languages_count> places_;
};

}  // namespace trayproof::desk
