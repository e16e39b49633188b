#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> command() {
  static constexpr Word words[] = {
      {"command.placeholder", ""},
  };
  return words;
}

}  // namespace trayproof::english
