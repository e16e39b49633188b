#define ZX_USE_UTF8 1
#include "report/photo/code.h"

#include <ZXing/ReadBarcode.h>

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/base/utf8.h"

namespace trayproof::photo {
namespace {

bool is_plain(const std::string& text) {
  if (text.empty() || first_bad_utf8(text) || code_points(text) > limits::text_code_points) return false;
  return std::none_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; });
}

std::string without_end_of_line(std::string text) {
  while (!text.empty() && (text.back() == '\r' || text.back() == '\n' || text.back() == '\t')) text.pop_back();
  return text;
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
    if (is_plain(text) && std::find(found.begin(), found.end(), text) == found.end()) found.push_back(std::move(text));
  }
  return found;
}

}  // namespace trayproof::photo
