// Linked into programs that hand events from thread to thread (`with_allocator` in CMakeLists.txt), in no room's
// library. mimalloc gives memory back to the system 25 ms after it was freed, and recording a large file then takes it
// again and again: a third of its time went into fresh pages. Five seconds are longer than any pause between two pieces
// of one piece of work, and short enough that an idle desk holds no memory. The environment variable
// MIMALLOC_DECOMMIT_DELAY still decides where it is set.
#include <mimalloc.h>

namespace {

[[maybe_unused]] const bool told = [] {
  constexpr long decommit_delay_ms = 5000;
  mi_option_set_default(mi_option_decommit_delay, decommit_delay_ms);
  return true;
}();

}  // namespace
