// A photo as grey pixels: JPEG and PNG, as telephones and scanners make them, within limits on bytes and pixels. The only
// include of the libraries that read pictures. Foreign bytes: runs in a confined process only (confined.h).
#pragma once

#include <cstdint>
#include <optional>
#include <variant>
#include <vector>

#include "ledger/base/bytes.h"

namespace trayproof::photo {

struct Grey {
  int width = 0;
  int height = 0;
  std::vector<std::uint8_t> pixels;  // row by row, 0 is black
};

enum class NoPicture {
  not_read,   // no picture of these sorts, or a broken one
  too_large,  // past limits::photo_pixels
};

// Large pictures come out smaller: `limits::photo_side` at most.
std::variant<Grey, NoPicture> read_picture(ByteView bytes);

}  // namespace trayproof::photo
