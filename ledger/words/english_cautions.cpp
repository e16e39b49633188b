#include "ledger/words/english.h"

namespace trayproof::english {

// Usual cautions of the trade (common practice, no source); they are shown where solutions and cycles are, and stand in
// English beside any other language.
std::span<const Word> cautions() {
  static constexpr Word words[] = {
      {"caution.scope",
       "This tells what the recorded evidence meets, misses or leaves open. It never says that an instrument is safe to use, and it "
       "does not replace the facility's procedures, local rules and licensed practice."},
      {"caution.pack", "Look its load up before use. Do not use it wet, torn, open or dropped."},
      {"caution.steam",
       "Caution, steam under pressure: open no sterilizer before its gauge stands at zero, wear heat-proof gloves, stand aside "
       "of the door, and let packs cool and dry before they are touched."},
      {"caution.dry-heat", "Caution, hot air: the chamber and the load burn long after the cycle; let them cool with the door closed."},
      {"caution.washer",
       "Caution, hot water and steam: open a washer-disinfector slowly once it has ended, stand aside of the door, and let load and racks "
       "cool before they are touched."},
      {"caution.boiling", "Caution, boiling water: let it cool or lift with long forceps; nothing may be added once the time has begun."},
      {"caution.chlorine",
       "Caution, chlorine: gloves, apron and eye protection, with windows open; add to water, never the other way; never mix with acids, "
       "ammonia or other cleaners, which sets free poisonous gas; rinse metal at once, it corrodes."},
      {"caution.glutaraldehyde",
       "Caution, glutaraldehyde and ortho-phthalaldehyde: they harm eyes, skin and lungs; gloves, eye protection, covered basins and "
       "moving air; rinse instruments as the label says before they touch anybody."},
      {"caution.oxidizer",
       "Caution, peracetic acid and hydrogen peroxide: they burn skin and eyes and feed fire; gloves, eye protection, moving air, "
       "vented containers."},
  };
  return words;
}

}  // namespace trayproof::english
