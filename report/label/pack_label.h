// Labels of packs: what is written on the pack when it is made, with the lines that a hand fills in when its load is
// known. A label carries no verdict: whether a pack may be used stands in the register, under its id.
//
// The QR code holds the pack's id and nothing else, so that any scanner types what a person would type.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "report/label/drawing.h"
#include "report/label/layout.h"

namespace trayproof::label {

struct PackLabel {
  std::string facility;
  std::string pack;
  std::string code;                        // short_code of its packing
  std::string set = {};                    // id and title, or what was received
  std::string made = {};                   // "Packed 2026-10-03 14:05 by ana", or received from where
  std::string details = {};                // wrap, indicator lot
  std::optional<std::string> load = {};    // absent: a line to write it on
  std::optional<std::string> use_by = {};  // absent: a line to write it on
  std::string keeps = {};                  // how long, where it can be said before the load
};

// Invalid when a picture that holds one page would need more. `created` stands in a PDF.
Result<Bytes> draw(std::span<const PackLabel> labels, Layout layout, Drawing drawing, Instant created);

}  // namespace trayproof::label
