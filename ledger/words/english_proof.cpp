#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> proof() {
  static constexpr Word words[] = {
      {"proof.inclusion-form",
       "found {found}; allowed is an inclusion proof: c2sp.org/tlog-proof@v1, index, hashes one a line, an empty line, a "
       "checkpoint"},
      {"proof.consistency-form",
       "found {found}; allowed is a consistency proof: the older size, hashes one a line, an empty line, a checkpoint"},
      {"proof.long", "the proof is longer than any proof can be (limit {found})"},
      {"proof.holds", "holds"},
      {"proof.no-checkpoint", "no checkpoint stands at the end of the proof"},
      {"proof.not-signed", "the proof's checkpoint is not signed by this key"},
      {"proof.other-origin", "the proof's checkpoint is that of another ledger"},
      {"proof.not-in-tree", "the proof does not lead to the signed root"},
      {"checkpoint.witnessed",
       "Kept new signatures under the checkpoint of {size} {size|event|events}. It bears now:"},
      {"checkpoint.witnessed-before",
       "Nothing new: these signatures are kept already. The checkpoint of {size} {size|event|events} bears:"},
      {"checkpoint.signature-fits", "{name}: checked, it fits"},
      {"checkpoint.signature-differs", "{name}: IT DOES NOT FIT"},
      {"checkpoint.signature-unchecked", "{name}: kept, not checked, for its key was not given (--witness-key)"},
      {"checkpoint.signature-other-key", "{name}: NOT BY THE KEY GIVEN: it stands under that name and was made with another key"},
      {"checkpoint.cosigned", "{name}: checked, it fits; signed on {at} by its own clock"},
      {"checkpoint.drawn", "Drew the state of {size} {size|event|events} as a card with a code: {file}."},
      {"checkpoint.last", "The last checkpoint kept here tells of {size} {size|event|events} and bears:"},
      {"checkpoint.outside-holds",
       "The checkpoint given, of {size} {size|event|events}, HOLDS: nothing up to there was changed since, and no "
       "copy older than that was put back."},
      {"witness.other-ledger", "it is a checkpoint of another ledger, {origin}"},
      {"witness.not-signed",
       "no checkpoint of {size} {size|event|events} with this text is kept here, and this one is not signed by this "
       "ledger's key"},
      {"witness.ahead",
       "it tells of {size} {size|event|events}, and {found} {found|is|are} there; was an older copy put back? Run "
       "verify --checkpoint"},
      {"witness.other-root", "the record is not what it says; run verify --checkpoint with it"},
      {"witness.none", "it bears no signature but the ledger's own"},
      {"witness.differs", "the signature of {witness} does not fit this checkpoint; nothing was kept"},
      {"verify.witness-missing", "the witness {witness}, whose key was given, signed none of the checkpoints looked at"},
      {"verify.lost-unconfirmed",
       "the state of size {size} is not in this record: seq {seq} declares that it was lost at a restore, and that entry's second "
       "person has not countersigned it"},
      {"verify.perhaps-lost",
       "seq {seq} declares a later state, of {size} {size|event|events}, as lost; whether this one lay on the way to it, nothing "
       "here shows"},
      {"checkpoint.outside-lost",
       "The checkpoint given, of {size} {size|event|events}, IS NOT A STATE OF THIS RECORD: seq {seq} declares that it was lost "
       "at a restore to {restored} {restored|event|events}, and its second person countersigned that. What came after those is not here."},
      {"verify.witness", "the witness {witness} did not sign the checkpoint of size {size}: its co-signature does not fit"},
      {"verify.outside-form", "what was given is no checkpoint: {why}"},
      {"verify.outside-origin", "the checkpoint given is that of another ledger, {origin}"},
      {"verify.outside-signature",
       "the checkpoint given, of size {size}, is not signed by this ledger's key: it was miscopied, or this record was "
       "written again under another key"},
      {"verify.outside-history",
       "ANOTHER HISTORY: the record up to here is not what the checkpoint given, of size {size}, says; entries were "
       "changed after it was signed"},
      {"verify.outside-ahead",
       "PUT BACK TO AN OLDER COPY: the checkpoint given tells of {size} {size|event|events}, and {found} "
       "{found|is|are} there; what came after was lost or taken away"},
      {"proof.not-covered",
       "seq {seq} is not in the state of {size} {size|event|events} that the checkpoint tells of"},
      {"proof.other-root",
       "the entries do not lead to the root of the checkpoint of {size} {size|event|events}; run verify"},
  };
  return words;
}

}  // namespace trayproof::english
