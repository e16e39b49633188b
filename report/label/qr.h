// QR codes (ISO/IEC 18004) of any bytes, as a square of dark and light modules. The only include of zint.h.
#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"

namespace trayproof::label {

struct QrCode {
  std::size_t size = 0;       // modules a side, without the quiet zone
  std::vector<bool> modules;  // row by row; true is dark
  bool dark(std::size_t row, std::size_t column) const { return modules[row * size + column]; }
};

// Light modules that must stand around the code on every side (ISO/IEC 18004, 4 modules; from memory).
inline constexpr std::size_t quiet_modules = 4;

// With medium error correction (a seventh of the code may be spoilt). Invalid when the bytes are too many for a code.
Result<QrCode> qr_of(std::string_view bytes);

}  // namespace trayproof::label
