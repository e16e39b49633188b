// What stands below the frame of pages that show everybody the same, as it was made last: for as long as the record is
// in the state that it was made of (Record::state), and half a minute at most. Ten telephones that look at what is due
// cost one look at the record. From any thread.
#pragma once

#include <cstdint>
#include <memory>
#include <mutex>
#include <string>
#include <unordered_map>

#include "report/markup/markup.h"

namespace trayproof::desk {

class KeptPages {
 public:
  // Null where none was made of that state.
  std::shared_ptr<const markup::Markup> find(const std::string& address, std::uint32_t state, double now_s) const;
  void keep(const std::string& address, std::uint32_t state, double now_s,
            std::shared_ptr<const markup::Markup> inside);

 private:
  struct Kept {
    double until_s = 0;
    std::shared_ptr<const markup::Markup> inside;
  };
  mutable std::mutex mutex_;
  std::uint32_t state_ = 0;  // all of it is of this one
  std::unordered_map<std::string, Kept> kept_;
  std::size_t bytes_ = 0;
};

}  // namespace trayproof::desk
