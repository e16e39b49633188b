#include "report/label/qr.h"

#include <zint.h>

#include <memory>

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::label {
namespace {

struct Deleter {
  void operator()(zint_symbol* symbol) const { ZBarcode_Delete(symbol); }
};

}  // namespace

Result<QrCode> qr_of(std::string_view bytes) {
  const std::unique_ptr<zint_symbol, Deleter> symbol(ZBarcode_Create());
  CHECK(symbol != nullptr);
  symbol->symbology = BARCODE_QRCODE;
  symbol->input_mode = DATA_MODE;  // the bytes as they are
  symbol->option_1 = 2;            // error correction M
  const int length = static_cast<int>(bytes.size());
  const int status = ZBarcode_Encode(symbol.get(), reinterpret_cast<const unsigned char*>(bytes.data()), length);
  // Below ZINT_ERROR are notices about other symbologies; from there on there is no code, or one of other data.
  if (bytes.empty() || status >= ZINT_ERROR) {
    return Error(ErrorCode::invalid, say("label.no-qr", {{"found", symbol->errtxt}}));
  }
  CHECK(symbol->rows == symbol->width);
  QrCode code{.size = static_cast<std::size_t>(symbol->width), .modules = {}};
  for (std::size_t row = 0; row < code.size; ++row) {
    for (std::size_t column = 0; column < code.size; ++column) {
      code.modules.push_back((symbol->encoded_data[row][column / 8] >> column % 8 & 1) != 0);
    }
  }
  return code;
}

}  // namespace trayproof::label
