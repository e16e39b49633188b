// The one target that this program was built for, as libFuzzer calls it.
#include <cstdint>

#include "tests/fuzz/target.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  static const trayproof::fuzz::Target* const target = trayproof::fuzz::find_target(TRAYPROOF_FUZZ_TARGET);
  target->run({reinterpret_cast<const char*>(bytes), size});
  return 0;
}
