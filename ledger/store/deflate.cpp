#include "ledger/store/deflate.h"

#include <zlib.h>

#include <string>

#include "ledger/words/words.h"

namespace trayproof::store {

Result<Bytes> deflated(ByteView plain) {
  uLongf size = compressBound(static_cast<uLong>(plain.size()));
  Bytes out(size);
  const int status = compress2(out.data(), &size, plain.data(), static_cast<uLong>(plain.size()), 6);
  if (status != Z_OK) return Error(ErrorCode::unavailable, say("store.deflate", {{"code", std::to_string(status)}}));
  out.resize(size);
  return out;
}

bool inflate_onto(Bytes& out, ByteView deflated, std::size_t most) {
  uLongf size = most;
  const std::size_t before = out.size();
  out.resize(before + size);
  const int status = uncompress(out.data() + before, &size, deflated.data(), static_cast<uLong>(deflated.size()));
  out.resize(before + (status == Z_OK ? size : 0));
  return status == Z_OK;
}

}  // namespace trayproof::store
