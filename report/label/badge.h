// Badges: who is at a station, scanned instead of tapped. A claim as a tapped name is; no PIN stands in a badge, and what
// needs one asks for it.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "report/asking/people_here.h"
#include "report/label/drawing.h"
#include "report/label/layout.h"

namespace trayproof::label {

struct Badge {
  std::string facility;
  std::string person;  // the id: what the code holds, and nothing else
  std::string name = {};
  std::string roles = {};
};

// Of these people in the order given, of everybody where none is. Missing where one is not enrolled or has left, or there
// is nobody.
Result<std::vector<Badge>> badges_of(const Ledger& ledger, std::span<const std::string> persons,
                                     const std::string& facility);

Result<Bytes> draw(std::span<const Badge> badges, Layout layout, Drawing drawing, Instant created);

}  // namespace trayproof::label
