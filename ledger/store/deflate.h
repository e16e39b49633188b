// Bytes made smaller for the file, by zlib.
#pragma once

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof::store {

Result<Bytes> deflated(ByteView plain);
// Appends the plain bytes; false, and nothing appended, when this is no deflated data or more than `most` bytes.
bool inflate_onto(Bytes& out, ByteView deflated, std::size_t most);

}  // namespace trayproof::store
