#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> label() {
  static constexpr Word words[] = {
      {"label.no-qr", "no QR code can hold this: {found}"},
      {"label.not-drawn", "the picture could not be drawn: {found}"},
      {"label.ending", "{file}: allowed are files that end in .svg or .png"},
      {"label.heading", "State of the reprocessing record"},
      {"label.size", "{size} events"},
      {"label.drawn", "Drawn on {when}"},
      {"label.root", "Root"},
      {"label.ledger", "Ledger {origin}"},
      {"label.use", "Paste this into the paper register and sign across the edge."},
      {"label.use-check",
       "To check: read the code (the signed checkpoint as text) into a file, then run trayproof verify --checkpoint "
       "FILE"},
  };
  return words;
}

}  // namespace trayproof::english
