#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> label() {
  static constexpr Word words[] = {
      {"label.no-qr", "no QR code can hold this: {found}"},
      {"label.not-drawn", "the picture could not be drawn: {found}"},
      {"label.ending", "{file}: allowed are files that end in .svg or .png"},
      {"label.pack-ending", "{file}: allowed are files that end in .pdf, .svg or .png"},
      {"label.one-page",
       "{found} {found|label|labels} in a picture of one page; allowed are {most} on a sheet, or a .pdf"},
      {"label.pack-unknown", "no packing or receiving of a pack \"{pack}\" is recorded; allowed are packs that stand in the record"},
      {"label.pack-title", "Labels of packs"},
      {"label.pack-packed", "Packed {when} by {by}"},
      {"label.pack-received", "From {from}, received {when}"},
      {"label.pack-lot", "lot {lot}"},
      {"label.pack-no-lot", "no indicator lot recorded"},
      {"label.pack-load", "Load"},
      {"label.pack-use-by", "Use by"},
      {"label.pack-opened", "Opened"},
      {"label.pack-keeps-days", "Keeps {days} {days|day|days} from the end of its load."},
      {"label.pack-keeps-disinfected", "Disinfected: keeps {days} {days|day|days} from the end of its load."},
      {"label.pack-keeps-closed", "Keeps while it is dry, closed and whole."},
      {"label.pack-or-load", "say which packs: PACK… or --load LOAD, not both; with --badges people or nobody"},
      {"label.badge-title", "Badges"},
      {"label.badge-use", "Says who is at a station, as a tapped name does. It signs nothing: no PIN stands in it."},
      {"label.badge-unknown", "nobody \"{person}\" is enrolled here; allowed are people who are enrolled and have not left"},
      {"label.badge-nobody", "nobody is enrolled yet: trayproof person enrol"},
      {"label.load-empty", "no pack is recorded in a load \"{load}\"; allowed are loads that hold packs"},
      {"label.no-entries",
       "no pack was packed or received in these entries; allowed are entries of the record, 1 to {size}, {most} at most"},
      {"label.written",
       "{file}: {count} {count|label|labels}. Print at 100 %, without fitting to the page; the frame of one is 95 "
       "by 54 mm."},
      {"label.heading", "State of the reprocessing record"},
      {"label.size", "{size} {size|event|events}"},
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
