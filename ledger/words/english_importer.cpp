#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> importer() {
  static constexpr Word words[] = {
      {"importer.placeholder", ""},
  };
  return words;
}

}  // namespace trayproof::english
