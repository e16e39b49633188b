#include "ledger/words/english.h"

namespace trayproof::english {

// What checking an evidence pack says.
std::span<const Word> evidence() {
  static constexpr Word words[] = {
      {"evidence.refused", "this is no evidence pack: {why}"},
      {"evidence.not-a-zip", "it is no zip file, or its end is cut off"},
      {"evidence.broken-zip", "the zip is broken ({found})"},
      {"evidence.too-large", "it is larger, or would be when unpacked, than a pack may be"},
      {"evidence.too-many", "it has more members than a pack may have"},
      {"evidence.unreadable-member", "one of its members cannot be read"},
      {"evidence.foreign-member", "this is no evidence pack: it holds {name}, which does not belong in one"},
      {"evidence.encrypted", "a member is encrypted; nothing in a pack is"},
      {"evidence.method", "a member is compressed in a way that packs do not use"},
      {"evidence.twice", "this is no evidence pack: it holds {name} twice"},
      {"evidence.member-missing", "it is missing"},
      {"evidence.member-broken", "it cannot be unpacked: its bytes were damaged"},
      {"evidence.member-too-long", "it is longer than it may be"},
      {"evidence.line-too-long", "a line is longer than it may be"},
      {"evidence.line-open", "its last line has no end: something was cut off"},
      {"evidence.at-seq", "seq {seq}: {what}"},
      {"evidence.no-entry", "line {line} is no entry of a ledger"},
      {"evidence.other-key", "the key beside the entry is not the one in it"},
      {"evidence.order", "the entry stands out of order, or twice"},
      {"evidence.not-opened", "the ledger's first entry (ledger-opened) is missing or says something else"},
      {"evidence.other-ledger-key", "the ledger key is not the one that the ledger was opened with"},
      {"evidence.sums-form", "a line is no hash and name as sha256sum writes them"},
      {"evidence.not-in-sums", "it is not in the pack's own list of members"},
      {"evidence.changed", "its bytes are not those that the pack's list of hashes tells of"},
      {"evidence.not-its-name", "its bytes do not have the SHA-256 that is its name"},
      {"evidence.other-format", "it does not describe a pack of the format {format}"},
      {"evidence.other-checkpoint", "it tells of another state than the checkpoint"},
      {"evidence.no-proof", "seq {seq} has no proof, or another's"},
      {"evidence.not-in-record", "seq {seq} does not stand in the record that the checkpoint signs"},
      {"evidence.proofs-left", "there are more proofs than entries"},
      {"evidence.subject-unnamed", "no entry names the {kind} {id} that the pack is about"},
      {"evidence.other-count", "there are not as many entries as the pack says"},
      {"evidence.other-ledger", "the checkpoint is that of another ledger than the entries"},
      {"evidence.unsigned-checkpoint", "no ledger key among the entries signed the checkpoint"},
      {"evidence.other-vkey", "it names another verifier key than the one that signed"},
      {"evidence.named-not-there", "{sha256} is named by an entry and missing, and the pack does not say why"},
      {"evidence.there-not-named", "{sha256} is there and no entry names it"},
      {"evidence.no-text", "a line is no text with its salt"},
      {"evidence.text-changed", "the text of {sha256} was changed, or stands twice"},
      {"evidence.other-growth", "it is a proof for another state"},
      {"evidence.other-entry", "seq {seq} is another entry in the whole record than in the pack"},
      {"evidence.left-out", "seq {seq} names the case and was left out"},
      {"evidence.not-in-whole", "an entry of the pack is not in the whole record"},
      {"evidence.other-root",
       "the whole record does not lead to the root of the checkpoint of {size} {size|entry|entries}"},
      {"evidence.signature", "no key of the record signed this pack as it is"},
      {"evidence.page-unsigned",
       "Nobody signed the readable page (the pack was made without the ledger's keys): believe the entries, not the page."},
      {"evidence.key-of-another", "the key given is not a key of this ledger"},
      {"evidence.not-signed-by-key", "the checkpoint is not signed by the key given, nor by one that it passed on to"},
      {"evidence.anchor-unread", "The checkpoint given cannot be read ({why}), so the record was not held against it."},
      {"evidence.checkpoint-of-another", "the checkpoint given is that of another ledger"},
      {"evidence.another-history",
       "the record is not the one of the checkpoint of size {size} that was kept elsewhere: one of the two was made up"},
      {"evidence.key-stolen",
       "SIGNED WITH A STOLEN KEY: seq {told} reports the key of {owner} stolen as of {since}, and it signed {count} "
       "{count|entry|entries} of this pack at or after that time (seq {seqs}). Who entered {count|it|them}, nothing here shows: look "
       "for a correction or a countersignature."},
      {"evidence.declared-lost",
       "The checkpoint given, of {size} {size|entry|entries}, is no state of this record: seq {seq} declares that it was lost at a "
       "restore to {restored} {restored|entry|entries}. What came after those is in nothing that this record can show: ask the "
       "facility for the file that it put aside then, and look whether the second person countersigned seq {seq}."},
      {"evidence.earlier-open",
       "The checkpoint given is of an earlier state ({size} {size|entry|entries}, the pack {pack}), and the pack "
       "holds no proof from there: ask for the pack again with --whole, which always decides."},
      {"evidence.later-open",
       "The checkpoint given is of a later state ({size} {size|entry|entries}, the pack {pack}): ask the facility "
       "for a newer pack, or for the consistency proof from {pack} to {size}, and give that."},
  };
  return words;
}

}  // namespace trayproof::english
