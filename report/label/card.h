// A checkpoint as a card for the paper register: its whole signed note as a QR code, and beside it what a person reads
// and compares. One drawing for print (SVG, PDF) and screen (PNG).
#pragma once

#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "report/label/drawing.h"

namespace trayproof::label {

struct CheckpointCard {
  std::string note;    // the signed note, byte for byte: what the code holds
  std::string title;   // the facility's
  std::string origin;  // the ledger's
  std::string size;    // number of events
  std::string root;    // 64 hex digits
  std::string drawn;   // when, as people read it
};

// Text of a font that the machine has; glyphs are drawn into the picture, so that it looks the same everywhere.
Result<Bytes> draw(const CheckpointCard& card, Drawing drawing);

}  // namespace trayproof::label
