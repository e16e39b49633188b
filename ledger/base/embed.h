// Files that stand in the program's own bytes, read at build by the assembler. The object depends on them by
// OBJECT_DEPENDS.
#pragma once

// `symbol` and `symbol_end` bound the bytes of the file; declare them as extern "C" const char[].
// NOLINTBEGIN: the assembler's own words
#define TRAYPROOF_EMBED(symbol, path) \
  __asm__(                            \
      ".section .rodata\n"            \
      ".balign 8\n" symbol            \
      ":\n"                           \
      ".incbin \"" path "\"\n" symbol \
      "_end:\n"                       \
      ".previous\n")
// NOLINTEND
