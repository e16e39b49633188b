// Files that were handed in and wait to be confirmed: in memory, few, for some minutes, and only for the station that
// handed them in. Nothing of them is on the disk before the confirmation (docs/decisions/0050). From any thread.
#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>

namespace trayproof::desk {

struct HeldFile {
  std::string bytes;
  std::string name;  // as the browser told it; shown, never written to
  std::string station;
};

class HeldFiles {
 public:
  // The token under which it is found again. Where there is no more room, the oldest go.
  std::string hold(HeldFile file, double now_s);
  // Null: never held, too old, gone for room, or another station's.
  std::shared_ptr<const HeldFile> find(std::string_view token, std::string_view station, double now_s);
  void drop(std::string_view token);

 private:
  struct Held {
    std::string token;
    std::shared_ptr<const HeldFile> file;
    double until_s = 0;
  };
  void forget_old(double now_s);

  std::mutex mutex_;
  std::deque<Held> held_;  // the oldest first
  std::size_t bytes_ = 0;
};

}  // namespace trayproof::desk
