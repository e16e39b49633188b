#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> cautions() {
  static constexpr Word words[] = {
      {"cautions.placeholder", ""},
  };
  return words;
}

}  // namespace trayproof::english
