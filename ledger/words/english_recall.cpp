#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> recall() {
  static constexpr Word words[] = {
      {"recall.placeholder", ""},
  };
  return words;
}

}  // namespace trayproof::english
