// Makes a parcel: a ledger's entries since a size, the checkpoint of the present state, and the proof that this state
// goes on from that size. A district's register takes it in, wherever it is carried.
//
// It holds what was hashed and nothing that stands beside the chain: no patient's number, no removable text, no
// attachment. docs/decisions/0080 tells why there is no way to ask for those.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/log/note.h"

namespace trayproof::parcel {

struct Sending {
  std::int64_t since = 0;  // entries up to this seq stay at home
  std::string title;       // of the facility
  std::string zone;
  std::string output;
};

struct Sent {
  std::string sha256;
  std::uint64_t bytes = 0;
  std::int64_t since = 0;
  std::int64_t size = 0;
  std::string checkpoint;  // the signed note in it
};

// Signs the present state and writes the file, durable when it returns. Conflict when there is one of that name,
// missing when the ledger has fewer entries than `since`, denied where nothing can be signed.
Result<Sent> send(Ledger& ledger, const Sending& sending);

// From where the next parcel goes on: of each witness the largest state under which its signature stands here, and of
// those the smallest, so that nobody who answered lacks what is before it. With keys given only their co-signatures
// count, and a witness of theirs that has none holds nothing. 0 when there is none.
Result<std::int64_t> co_signed_size(const Ledger& ledger, const std::vector<log::VerifierKey>& witnesses);

}  // namespace trayproof::parcel
