#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> gaps() {
  static constexpr Word words[] = {
      {"gaps.placeholder", ""},
  };
  return words;
}

}  // namespace trayproof::english
