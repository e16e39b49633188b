#include "ledger/words/english.h"

namespace trayproof::english {

// Parcels that a facility sends, and the register that takes in those of many.
std::span<const Word> district() {
  static constexpr Word words[] = {
      {"help.send", "a file of new entries for the district's register"},
      {"help.send-footer",
       "Carry the file there by stick, mail or HTTPS. Keep what comes back: `trayproof checkpoint --witness "
       "FILE.cosigned "
       "--witness-key VKEY`."},
      {"help.send-output", "where the file goes"},
      {"help.send-since", "how many entries the register holds (default: the largest state that it co-signed)"},
      {"help.send-witness-key",
       "the register's verifier key: only its co-signatures count (may be given several times)"},
      {"parcel.sent",
       "{file}: {entries} {entries|entry|entries}, after {since} up to {size}, with the signed state of {size}."},
      {"parcel.holds",
       "It holds entries as they were hashed: pseudonyms, no patients' numbers, no removable texts, no attachments."},
      {"parcel.answer",
       "What the register answers, {file}.cosigned, belongs here: `trayproof checkpoint --witness {file}.cosigned "
       "--witness-key VKEY` with the register's key."},
      {"parcel.since", "--since is a number of entries, 0 or more; found {found}"},
      {"parcel.too-large", "the parcel would hold {bytes} bytes, more than one may: send fewer at a time"},
      {"parcel.refused", "this is no parcel: {why}"},
      {"parcel.foreign-member", "this is no parcel: it holds {name}, which does not belong in one"},
      {"parcel.other-format", "its format is not {format}"},
      {"parcel.other-checkpoint", "parcel.json tells another state than the checkpoint, or one that cannot be"},
      {"parcel.past-checkpoint", "the checkpoint ends at {size}, and this entry stands after it"},
      {"help.receive", "takes facilities' parcels into the district's register, and answers with its co-signature"},
      {"help.receive-files", "what facilities sent (several, in any order)"},
      {"help.receive-register",
       "the register's PostgreSQL as libpq reads it, like \"host=db dbname=district\" (default: $TRAYPROOF_REGISTER)"},
      {"help.receive-witness", "the register's own key file (`register witness` makes one)"},
      {"help.receive-output", "where the answer to a single file goes (default: its name and .cosigned)"},
      {"help.receive-later", "leaves the working out of tables to `register derive`"},
      {"help.district", "a district's register: what many facilities' ledgers prove, and answers across them"},
      {"help.district-prepare", "makes or renews the register's tables and roles; for the owner of the database"},
      {"help.district-witness", "makes the key with which the register co-signs"},
      {"help.district-witness-file", "where the key goes; readable by its owner only"},
      {"help.district-witness-name", "the register's name as a witness, like district.example/register"},
      {"help.district-derive", "works out the tables of ledgers that have newer entries"},
      {"district.unreached", "the register cannot be reached, and nothing was taken: {why}"},
      {"district.lost",
       "the register went away in the middle: {why}. What it did not acknowledge is not kept; try again"},
      {"district.failed", "the register's database refused: {why} ({code})"},
      {"district.denied",
       "this user may not do that in the register's database: {why} ({code}). Who takes parcels in needs "
       "trayproof_writer, who asks trayproof_reader; tables and roles are made by the owner"},
      {"district.rolled-back-commit", "the register's database took it back, and nothing of it stands. Try again"},
      {"district.uncertain",
       "the register went away while it was told to keep this: nobody knows whether it did. Do the same again; a file "
       "is never taken twice"},
      {"district.encoding", "the database holds {found}; the register needs one that was made with ENCODING 'UTF8'"},
      {"district.schema-ahead",
       "the register's tables were made by a newer program, or changed by hand: use that program"},
      {"district.not-prepared",
       "this database is no register yet: its owner runs `trayproof register prepare --register …` once"},
      {"district.behind",
       "the register's tables are those of an older program: its owner runs `trayproof register prepare --register …`"},
      {"district.entries-missing",
       "the register lacks entries of ledger {ledger} that it said to hold: put back its backup"},
      {"district.peaks", "a state of the register does not hold the hashes that it needs: put back its backup"},
      {"district.unknown", "the register has nothing of ledger {ledger}"},
      {"district.no-room", "no room for temporary files at {path}: {why}"},
      {"district.other-first",
       "another ledger under the id of one that the register holds: its first entry is another, so it is not the same "
       "ledger"},
      {"district.witness-name", "a witness's name has no blanks, no + and only plain letters; found \"{found}\""},
      {"district.witness-open", "{path} can be read by others: chmod 600 it, and think about whether somebody did"},
      {"district.witness-none", "{path} is no key file of a register"},
      {"district.witness-made",
       "{file} holds the key with which the register co-signs. Keep a copy under lock. Give facilities this verifier "
       "key:"},
      {"district.prepared",
       "The register's tables are those of migration {number}; {applied} {applied|was|were} applied now."},
      {"district.derived-anew",
       "The derived tables are empty: run `trayproof register derive` when they are to be asked."},
      {"district.roles",
       "Give trayproof_writer to who takes parcels in and trayproof_reader to who asks: GRANT trayproof_writer TO "
       "name."},
      {"district.deriving", "working out tables"},
      {"district.derived", "Worked out the tables of {ledgers} {ledgers|ledger|ledgers}: {rows} {rows|row|rows}."},
      {"district.one-output", "-o names one answer; give one file, or leave it out"},
      {"district.taken",
       "{file}: {facility}: {entries} new {entries|entry|entries}. The register holds {size} and has co-signed that "
       "state."},
      {"district.taken-unsigned",
       "{file}: {facility}: {entries} new {entries|entry|entries}. The register holds {size}. It does not co-sign this "
       "line, because "
       "the ledger "
       "told another past before."},
      {"district.new-here",
       "This ledger is new here. Before it is trusted, compare its key with what the facility itself shows (`trayproof "
       "key "
       "list`): {vkey}"},
      {"district.answer", "  The register's answer for the facility: {answer}"},
      {"district.repeated",
       "{file}: {facility}: nothing new; the register holds this very state of {size} "
       "{size|entry|entries}."},
      {"district.repeated-apart",
       "{file}: {facility}: LOOK INTO THIS. Nothing new; the register keeps this past of {size} "
       "{size|entry|entries} apart. It is "
       "not counted and not co-signed."},
      {"district.answer-failed",
       "  What was taken in stands, but the register's answer could not be written: {why}. Give the same file again."},
      {"district.derive-failed",
       "What was taken in of ledger {ledger} stands, but its tables could not be worked out: {why}. Answers across "
       "facilities lack what is new there until `trayproof register derive` succeeds"},
      {"district.behind-note",
       "The tables of {ledgers} {ledgers|ledger|ledgers} lack what was taken in last, and so does this answer: see "
       "`register "
       "facilities`, and run `trayproof register derive`."},
      {"district.lot-not-yet",
       "Nothing that is worked out so far names the lot {lot}. That is no answer yet: work out the tables first, then "
       "ask again."},
      {"district.older",
       "{file}: {facility}: nothing new; this state of {size} {size|entry|entries} was sent before the {held} that the "
       "register "
       "holds."},
      {"district.rolled-back",
       "{file}: {facility}: LOOK INTO THIS. The ledger tells of {size} {size|entry|entries}, after the register took "
       "{held} from "
       "it. It was "
       "put back to an older copy, or somebody hides what came later. Nothing was changed here. At the facility: "
       "`trayproof "
       "verify --checkpoint` with the register's answer."},
      {"district.restored",
       "{file}: {facility}: restored from a backup. From entry {seq} on the ledger is another than the register holds; "
       "{lost} {lost|entry|entries} here {lost|is|are} not in it any more, and {lost|stays|stay}. {entries} "
       "{entries|entry was|entries were} taken as a separate line, which answers "
       "count from now on. It is not co-signed: to be witnessed again, the facility starts a ledger that goes on from "
       "this one "
       "(`trayproof create --continues`)."},
      {"district.forked",
       "{file}: {facility}: LOOK INTO THIS. From entry {seq} on the ledger tells another past than it told before, "
       "under its own "
       "signature. {entries} {entries|entry is|entries are} kept apart, not counted and not co-signed. What was held "
       "is unchanged."},
      {"district.fork-goes-on",
       "{file}: {facility}: LOOK INTO THIS. {entries} more {entries|entry|entries} of a past that the register keeps "
       "apart, from {seq} on. {entries|It is|They are} not counted and not co-signed."},
      {"district.other-past",
       "{file}: {facility}: LOOK INTO THIS. Its past up to entry {since} is another than the one that the register "
       "holds. Its "
       "signed checkpoint is kept. Where the two part is not in this file: ask the facility for `trayproof send "
       "--since 0`."},
      {"district.needs-before",
       "{file}: {facility}: not taken: it begins after entry {since}, and the register holds {held}. Ask the facility "
       "for the "
       "files in between, or for `trayproof send --since {held}`."},
      {"district.refused", "{file}: refused, nothing of it was taken: {why}"},
      {"district.refused-at", "{file}: refused at entry {seq}, nothing of it was taken: {why}"},
      {"help.district-output", "also writes it to a file: .csv, .xlsx, or .svg where shares by facility are drawn"},
      {"help.district-facilities", "each ledger: how many entries, when it was heard of last, what stands apart"},
      {"help.district-lot", "where a withdrawn lot went: facilities, loads, packs, procedures"},
      {"help.district-lot-id", "the lot, as it is printed"},
      {"help.district-coverage", "a share for each facility with its volume and what chance alone would do"},
      {"help.district-measure", "evidence (default), decided, or load-known"},
      {"help.district-from", "from this date or moment on (UTC)"},
      {"help.district-to", "up to this date or moment (UTC)"},
      {"help.district-gaps", "what the gap rules say of all facilities, or of one rule by facility"},
      {"help.district-rule", "this rule, by facility"},
      {"help.district-silent", "facilities of which nothing newer came"},
      {"help.district-days", "for that many days (default: 30)"},
      {"help.district-sizes", "the states that were co-signed, over time"},
      {"help.district-of", "of this ledger only"},
      {"help.district-apart", "pasts that are held apart: forks, restores, rollbacks"},
      {"help.district-report", "facilities, coverage, gaps, silence and what stands apart as one workbook"},
      {"help.district-report-output", "where the workbook goes (.xlsx)"},
      {"district.days", "--days is a number of days, 0 or more; found {found}"},
      {"district.ending", "{file}: its name ends in .csv or .xlsx"},
      {"district.ending-drawn", "{file}: its name ends in .csv, .xlsx or .svg"},
      {"district.ending-book", "{file}: its name ends in .xlsx"},
      {"district.book", "{file} holds {answers} answers, one a sheet, with their funnel plots."},
      {"district.book-title", "The district's register"},
      {"district.period", "From {from} to {until}."},
      {"district.period-first", "the first record"},
      {"district.period-last", "the last"},
      {"district.not-drawn", "{count} {count|place is|places are} withheld and not drawn."},
      {"district.lot-unknown", "no facility's record names the lot {lot}"},
      {"district.lot-note",
       "What each facility's own `trayproof recall --because lot-withdrawn --lot` lists; who was reached is worked out "
       "and called "
       "there, where the numbers are. Facilities that have not sent since the lot was used are missing: see `register "
       "silent`."},
      {"district.no-measure", "there is no measure {found}; there are {allowed}"},
      {"district.measure-evidence",
       "Loads that have a reading, curve, indicator or biological of any kind, of all loads that were started. What is "
       "missing is "
       "not evidence of failure."},
      {"district.measure-decided", "Loads that somebody released or rejected, of all loads that were started."},
      {"district.measure-load-known",
       "Uses of packs for which a load is known that held the pack before, of all uses."},
      {"district.funnel-note",
       "By volume, not by rank. Limits are exact binomial ones around the share of all: of places that differ by "
       "chance alone, 1 in "
       "20 lies outside the 95 % limits and 1 in 500 outside those of 99.8 %. Outside them, ask why; inside them, do "
       "not compare."},
      {"district.no-rule", "there is no rule {found}; `trayproof register gaps` lists them"},
      {"district.gaps-note",
       "Things that a rule looked at in the year before each facility's last event, judged by the facility's own SOP "
       "as of that event, or as of today where a clock put an event ahead of it. "
       "Rules that need attachments cannot tell here."},
      {"district.few-note",
       "A share that rests on fewer than five is withheld, and so is another where the sums of all would tell it."},
      {"district.silent-note",
       "By the older of two: when the last new parcel came, and the last event in it. A facility may work well and "
       "have no way to "
       "send."},
      {"district.head-ledger", "Ledger"},
      {"district.head-facility", "Facility"},
      {"district.head-entries", "Entries"},
      {"district.head-received", "Received (UTC)"},
      {"district.head-last-event", "Last event (UTC)"},
      {"district.head-cosigned", "Co-signed at"},
      {"district.head-forks", "Forks"},
      {"district.head-restores", "Restores"},
      {"district.head-warnings", "Warnings"},
      {"district.head-signed-after-theft", "Signed with a stolen key"},
      {"district.head-tables", "Tables"},
      {"district.head-loads", "Loads"},
      {"district.head-packs", "Packs"},
      {"district.head-procedures", "Procedures"},
      {"district.head-load-ids", "Which loads"},
      {"district.head-pack-ids", "Which packs"},
      {"district.head-procedure-ids", "Which procedures"},
      {"district.head-found", "With"},
      {"district.head-of", "Of"},
      {"district.head-share", "Share"},
      {"district.head-low-95", "95 % from"},
      {"district.head-high-95", "95 % to"},
      {"district.head-low-998", "99.8 % from"},
      {"district.head-high-998", "99.8 % to"},
      {"district.head-place", "Place"},
      {"district.head-rule", "Rule"},
      {"district.head-severity", "Severity"},
      {"district.head-facilities", "Facilities"},
      {"district.head-gaps", "Gaps"},
      {"district.head-cannot-tell", "Cannot tell"},
      {"district.head-days", "Days"},
      {"district.head-line", "Line"},
      {"district.head-size", "Size"},
      {"district.head-root", "Root"},
      {"district.head-cosigned-state", "Co-signed"},
      {"district.head-outcome", "What"},
      {"district.head-since", "After"},
      {"district.head-parted", "Parts at"},
      {"district.head-new-entries", "New entries"},
      {"district.sheet-facilities", "Facilities"},
      {"district.sheet-lot", "Lot"},
      {"district.sheet-coverage-evidence", "Loads with evidence"},
      {"district.sheet-coverage-decided", "Loads decided upon"},
      {"district.sheet-coverage-load-known", "Uses with a known load"},
      {"district.sheet-plot", "Funnel plot {number}"},
      {"district.sheet-gaps", "Gaps"},
      {"district.sheet-silent", "Silent"},
      {"district.sheet-sizes", "Sizes"},
      {"district.sheet-apart", "Held apart"},
      {"parcel.no-recorded", "it does not say when it was recorded"},
      {"parcel.zero", "one of its texts holds the character 0"},
      {"parcel.short", "the entries end before this one; the checkpoint is of {size}"},
  };
  return words;
}

}  // namespace trayproof::english
