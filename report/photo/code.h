// The codes in a picture: QR, Data Matrix, Code 128, Code 39, EAN. The only include of the library that finds them.
#pragma once

#include <string>
#include <vector>

#include "report/photo/picture.h"

namespace trayproof::photo {

// What they hold, each once: text in UTF-8 of at most 200 code points without control characters. Others are not there.
std::vector<std::string> codes_in(const Grey& picture);

}  // namespace trayproof::photo
