// The one of many kept curves that a new one repeats: sketches first, then what lies near itself.
// docs/import-reading.md, "The same curve again", is the authority.
#pragma once

#include <optional>

#include "importer/judging/likeness.h"
#include "importer/judging/outline.h"
#include "importer/judging/sketch.h"
#include "importer/judging/trace.h"
#include "ledger/base/result.h"

namespace trayproof::judging {

// The kept curves, each in its place.
class Library {
 public:
  virtual ~Library() = default;
  virtual std::size_t size() const = 0;
  // Null where that one cannot count.
  virtual const Sketch* sketch(std::size_t place) const = 0;
  // Asked of the few that may be it; for a curve of few readings a trace of all that are near. A curve that cannot be
  // read has none.
  virtual Result<const Trace*> trace(std::size_t place) = 0;
  virtual Result<std::optional<Outline>> outline(std::size_t place) = 0;
};

struct Same {
  std::size_t place = 0;
  Likeness likeness;
};
Result<std::optional<Same>> find_same(Library& library, const Outline& curve, const Sketch& sketch);

}  // namespace trayproof::judging
