// An invented facility in a real ledger, and its entries read back for the reference.
#pragma once

#include <string>
#include <vector>

#include "ledger/base/clock.h"
#include "ledger/ledger.h"
#include "tests/reference/effective_events.h"
#include "tests/reference/world.h"

namespace trayproof::reference {

// Shows the time that it was last set to.
class SetClock final : public Clock {
 public:
  explicit SetClock(Instant now) : now_(now) {}
  void set(Instant now) { now_ = now; }
  Instant now() override { return now_; }
  double seconds() override { return static_cast<double>(now_.ms) / 1000; }

 private:
  Instant now_;
};

// What a new ledger writes before the first line: ledger-opened, two keys, facility-described, sop-adopted.
inline constexpr std::int64_t first_line_seq = 6;

// A fresh folder under the machine's temporary one, removed with everything in it.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

// A new ledger at `path`, created at `world.opened`, that took every line at `world.now`; an error when one was
// refused.
Result<Ledger> ledger_of(const World& world, const std::string& path, SetClock& clock);
Result<std::vector<Entry>> entries_in(const Ledger& ledger);

}  // namespace trayproof::reference
