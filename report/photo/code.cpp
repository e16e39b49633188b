#define ZX_USE_UTF8 1
#include "report/photo/code.h"

#include <ZXing/ReadBarcode.h>

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/base/utf8.h"
#include "ledger/log/note.h"

namespace trayproof::photo {
namespace {

bool is_plain(const std::string& text) {
  if (text.empty() || first_bad_utf8(text) || code_points(text) > limits::text_code_points) return false;
  return std::none_of(text.begin(), text.end(),
                      [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; });
}

std::string without_end_of_line(std::string text) {
  while (!text.empty() && (text.back() == '\r' || text.back() == '\n' || text.back() == '\t')) text.pop_back();
  return text;
}

// A card of the paper register: the one sort of code that has lines, kept byte for byte.
bool is_checkpoint(const std::string& text) {
  const auto note = log::parse_note(text);
  return note.ok() && log::parse_checkpoint(note.value()).ok();
}

}  // namespace

std::vector<std::string> codes_in(const Grey& picture) {
  using ZXing::BarcodeFormat;
  ZXing::DecodeHints hints;
  hints.setFormats(BarcodeFormat::QRCode | BarcodeFormat::DataMatrix | BarcodeFormat::Code128 | BarcodeFormat::Code39 |
                   BarcodeFormat::EAN13 | BarcodeFormat::EAN8);
  hints.setTryHarder(true).setTryRotate(true).setTryDownscale(true);
  const ZXing::ImageView view(picture.pixels.data(), picture.width, picture.height, ZXing::ImageFormat::Lum);
  std::vector<std::string> found;
  for (const ZXing::Result& one : ZXing::ReadBarcodes(view, hints)) {
    if (!one.isValid()) continue;
    std::string text = without_end_of_line(one.text());
    if (is_checkpoint(text + "\n")) text += "\n";
    const bool may_be_told = is_plain(text) || is_checkpoint(text);
    if (may_be_told && std::find(found.begin(), found.end(), text) == found.end()) found.push_back(std::move(text));
  }
  return found;
}

}  // namespace trayproof::photo
