#include "ledger/words/english.h"

namespace trayproof::english {

// What giving an evidence pack says, and what stands on its page and in its manual.
std::span<const Word> pack() {
  static constexpr Word words[] = {
      {"pack.zip-failed", "{file} could not be written: {found}"},
      {"pack.zip-open", "no zip can be made there"},
      {"pack.other-kind", "a pack is about a procedure, load, recall, pack, set or solution; found {kind}"},
      {"pack.unsigned", "entry {seq} has no signature and none covers it; run verify"},
      {"pack.broken-entry", "entry {seq} is not what was hashed; run verify"},
      {"pack.no-state",
       "the newest signed state covers {covered} of {size} {size|entry|entries}, and this ledger is open for "
       "reading only: run `trayproof checkpoint` where its key file is, then ask again"},
      {"pack.too-large",
       "the pack would have {members} {members|member|members} and {bytes} bytes, more than a pack may: ask about "
       "less"},
      {"pack.not-recorded-why", "the giving could not be recorded ({field}: {why}), so nothing was given"},

      // The page: head.
      {"pack.title", "Evidence: {kind} {id}"},
      {"pack.state",
       "State of the record as known at {at}: {size} {size|entry|entries}, of which {count} {count|stands|stand} in "
       "this pack."},
      {"pack.shows-head", "What this pack shows, and what it does not"},
      {"pack.shows-entries",
       "It proves that the entries listed below stand in the facility's record, unchanged since the signed state."},
      {"pack.shows-not-all",
       "It does not prove that no other entry of the record concerns the case. A pack made with --whole lets anybody "
       "look."},
      {"pack.shows-whole",
       "Every entry of the record is in it (whole.jsonl), so that anybody can work out again which of them concern the "
       "case."},
      {"pack.shows-not-true",
       "It does not prove that what was entered is true. It shows who entered what, when, and that nobody changed it."},
      {"pack.shows-whose",
       "Whose record it is, only something from elsewhere shows: the ledger's key on paper, or a checkpoint that "
       "somebody else kept."},
      {"pack.shows-page",
       "This page was made by the program and signed by {station}. Where page and entries differ, the entries count."},
      {"pack.shows-unsigned",
       "NOBODY SIGNED THIS PAGE: it was made without the ledger's keys and its giving is not recorded. The entries "
       "count, not the page."},
      {"pack.shows-check", "How to check it, with the program or by hand: {manual}."},
      {"pack.head-short", "In short: the recorded evidence"},
      {"pack.misses", "misses"},
      {"pack.open", "leaves open"},
      {"pack.meets", "meets"},
      {"pack.misses-none", "Nothing was found that misses a rule."},
      {"pack.open-none", "Nothing more."},
      {"pack.meets-none", "Nothing was found."},
      {"pack.entry", "entry"},
      {"pack.entries", "entries"},
      {"pack.by-curve", "the logger's curve"},
      {"pack.by-readings", "the operator's readings"},
      {"pack.conditions-reached", "Load {load} reached the conditions of the SOP, by {by}."},
      {"pack.conditions-not-reached", "Load {load} did not reach the conditions of the SOP, by {by}."},
      {"pack.conditions-open", "Whether load {load} reached the conditions of the SOP cannot be told."},
      {"pack.strips-passed", "Load {load}: {count} indicator {count|reading|readings} passed."},
      {"pack.strips-failed", "Load {load}: {count} indicator {count|reading|readings} failed or could not be read."},
      {"pack.strips-none", "Load {load}: no indicator reading is recorded."},
      {"pack.biological-positive", "Load {load}: biological test positive, read {day}."},
      {"pack.biological-negative", "Load {load}: biological test negative, read {day}."},
      {"pack.biological-void", "Load {load}: a biological reading of {day} proves nothing."},
      {"pack.biological-none", "Load {load} had no biological test of its own: {told}."},
      {"pack.released", "Load {load} was released {at} by {by}."},
      {"pack.released-although", "Load {load} was released {at} by {by} although its conditions were not reached."},
      {"pack.rejected", "Load {load} was rejected {at} by {by}."},
      {"pack.decision-none", "Load {load}: no release or rejection is recorded."},
      {"pack.many-reached-curve", "{count} loads reached the conditions of the SOP, by the logger's curve: {loads}."},
      {"pack.many-reached-readings",
       "{count} loads reached the conditions of the SOP, by the operator's readings: {loads}."},
      {"pack.many-not-reached", "{count} loads did not reach the conditions of the SOP: {loads}."},
      {"pack.many-open", "Whether {count} loads reached the conditions of the SOP cannot be told: {loads}."},
      {"pack.many-strips-passed", "{count} loads have indicator readings that passed: {loads}."},
      {"pack.many-strips-none", "{count} loads have no indicator reading: {loads}."},
      {"pack.many-biological-none", "{count} loads had no biological test of their own: {loads}."},
      {"pack.many-released", "{count} loads were released: {loads}."},
      {"pack.many-decision-none", "{count} loads have no release or rejection: {loads}."},

      // The page: the case.
      {"pack.head-procedure", "The procedure"},
      {"pack.head-load", "The load"},
      {"pack.head-one-pack", "The pack"},
      {"pack.head-packs", "Its packs"},
      {"pack.head-recall", "The recall"},
      {"pack.head-drill", "DRILL: a recall that was practised"},
      {"pack.head-pack", "Pack {pack} (set {set}), step by step"},
      {"pack.head-held", "The packs it held"},
      {"pack.head-loads", "Affected loads"},
      {"pack.head-reached", "Procedures reached"},
      {"pack.head-standing", "Where each pack stood"},
      {"pack.head-since", "What was done since"},
      {"pack.by", "by {by}"},
      {"pack.used-here", "Used in {procedure}."},
      {"pack.not-recorded", "not recorded"},
      {"pack.no-load", "no load that ended before the use"},
      {"pack.no-curve", "no curve"},
      {"pack.no-packs", "No packs are recorded for it."},
      {"pack.no-use", "no use recorded"},
      {"pack.load-untold", "Nothing tells when this load ran."},
      {"pack.not-released", "not released"},
      {"pack.not-answered", "not answered yet"},
      {"pack.not-judged", "not judged"},
      {"pack.verdict-reached", "conditions reached"},
      {"pack.verdict-not-reached", "conditions NOT reached"},
      {"pack.verdict-cannot-tell", "cannot be told"},
      {"pack.curve-step", "Curve measured by {logger}: {verdict}; hold {hold} min (drawn below)"},
      {"pack.used-in", "{procedure}, {at}, patient {patient}"},
      {"pack.from-load", "{pack} (load {load})"},
      {"pack.answered", "{outcome} {at}"},
      {"pack.decided", "{decision} {at} by {by}"},
      {"pack.kpa-gauge", "{kpa} kPa gauge"},
      {"pack.minutes", "{minutes} min"},
      {"pack.numbers-shown",
       "Patients stand here with their numbers, because who gave this pack has the right to read them."},
      {"pack.shows-numbers",
       "PATIENTS' NUMBERS stand on this page. Keep it as you keep a patient's file, and destroy it when the case is "
       "settled."},
      {"pack.head-patients", "Whom it concerns"},
      {"pack.numbers-not-proved",
       "The entries hold pseudonyms only. Which number a pseudonym stands for is sealed in the facility's record: the "
       "proofs "
       "do not cover it, and only the signature under this page does."},
      {"pack.column-number", "Patient's number"},
      {"pack.column-pseudonym", "Pseudonym in the entries"},
      {"pack.pseudonyms",
       "Patients stand as pseudonyms, here and in the entries. The facility alone can say who is meant."},
      {"pack.fact-when", "When"},
      {"pack.fact-sort", "Procedure"},
      {"pack.fact-place", "Place"},
      {"pack.fact-patient", "Patient"},
      {"pack.fact-newborns", "Newborns"},
      {"pack.fact-by", "Recorded by"},
      {"pack.fact-load", "Load"},
      {"pack.fact-curve", "Curve"},
      {"pack.fact-hold", "Hold"},
      {"pack.fact-f0", "F0, at least"},
      {"pack.fact-strips", "Indicators"},
      {"pack.fact-biological", "Biological test"},
      {"pack.fact-decision", "Decision"},
      {"pack.fact-soaked", "Soaked in"},
      {"pack.fact-method", "Method"},
      {"pack.fact-machine", "Machine"},
      {"pack.fact-cycle", "Cycle counter"},
      {"pack.fact-started", "Started"},
      {"pack.fact-ended", "Ended"},
      {"pack.fact-operator", "Operator's readings"},
      {"pack.fact-set", "Set"},
      {"pack.fact-wrap", "Wrap"},
      {"pack.fact-used", "Used in"},
      {"pack.fact-because", "Because"},
      {"pack.fact-about", "About"},
      {"pack.fact-opened", "Opened"},
      {"pack.fact-state", "State asked for"},
      {"pack.fact-after", "Loads after"},
      {"pack.fact-before", "Loads before"},
      {"pack.fact-closed", "Closed"},
      {"pack.recall-state", "{as_of}, with what was known up to entry {known_at}"},
      {"pack.bound", "{load}, {at}"},
      {"pack.passed-check", "a passed check"},
      {"pack.no-bound", "no bound"},
      {"pack.still-open", "STILL OPEN"},
      {"pack.answer-same",
       "Worked out again for this pack, the answer is byte for byte the one that opened the recall (SHA-256 "
       "{sha256})."},
      {"pack.answer-differs",
       "Worked out again for this pack, the answer is NOT the one that opened the recall (SHA-256 {sha256}, among the "
       "attachments): "
       "corrections since, or another program."},
      {"pack.count-loads", "Loads"},
      {"pack.count-packs", "Packs"},
      {"pack.count-procedures", "Procedures"},
      {"pack.count-patients", "Patients, newborns included"},
      {"pack.count-unknown", "Procedures with no patient recorded"},
      {"pack.count-missing", "Loads without any reading"},
      {"pack.count-handled", "Procedures with handled packs"},
      {"pack.column-pack", "Pack"},
      {"pack.column-packs", "Packs"},
      {"pack.column-set", "Set"},
      {"pack.column-load", "Load"},
      {"pack.column-loads", "Loads"},
      {"pack.column-strip", "Indicators"},
      {"pack.column-used", "Used in"},
      {"pack.column-machine", "Machine"},
      {"pack.column-started", "Started"},
      {"pack.column-released", "Released"},
      {"pack.column-curve", "Curve"},
      {"pack.column-biological", "Biological test"},
      {"pack.column-procedure", "Procedure"},
      {"pack.column-when", "When"},
      {"pack.column-patient", "Patient"},
      {"pack.column-answered", "Answered"},
      {"pack.column-standing", "Standing"},
      {"pack.column-place", "Place"},

      // The page: what it rests on.
      {"pack.head-curves", "The curves"},
      {"pack.curve-of", "Drawn again from the kept file of"},
      {"pack.refused-rows",
       "{count} {count|row|rows} of this file could not be read. {count|It is|The first are} shown; the list in "
       "this pack: {file}"},
      {"pack.refused-removed",
       "{count} {count|row|rows} of this file could not be read; {count|its|their} list ({file}) was removed on "
       "request."},
      {"pack.refused-line", "Line"},
      {"pack.refused-text", "What stands there"},
      {"pack.refused-why", "Why it was refused"},
      {"pack.refused-mend", "What helps"},
      {"pack.curve-file", "Raw file in this pack: {file}"},
      {"pack.curve-not-drawn", "It could not be drawn: {why}."},
      {"pack.curve-no-cycle", "This program finds no cycle there any more; the judgement in the record stands."},
      {"pack.judged-otherwise", "The judgement in the record is another: {verdict}. The record counts."},
      {"pack.curves-left-out",
       "{count} more {count|curve is not drawn here; its file is|curves are not drawn here; their files are} in the "
       "pack."},
      {"pack.head-findings", "Findings that concern the case"},
      {"pack.no-findings", "The rules of the SOP found nothing about this case."},
      {"pack.finding-state", "Rule {rule}; arose {at}; {state}. What closes it: {closes}"},
      {"pack.head-rules", "The SOP that it was judged by"},
      {"pack.edition", "\"{title}\", edition {edition}"},
      {"pack.unconfirmed", "NOT CONFIRMED by the facility."},
      {"pack.head-entries", "Every entry of this pack"},
      {"pack.entries-about",
       "In the order in which they were recorded, with the hash of each. The case's own, what they rest on, the rules, "
       "and those "
       "that prove keys and signatures."},
      {"pack.entries-more",
       "{count} more {count|entry is not shown here; it is|entries are not shown here; all are} in {file}."},
      {"pack.head-record", "The record that they stand in"},
      {"pack.fact-origin", "Origin"},
      {"pack.fact-size", "Entries"},
      {"pack.fact-root", "Root"},
      {"pack.fact-vkey", "Verifier key"},
      {"pack.kept-elsewhere",
       "Copies of signed states that the facility says it put where it cannot change them. Compare with one of them:"},
      {"pack.kept", "{size} {size|entry|entries}, kept: {where}, root {root}"},
      {"pack.kept-nowhere",
       "The record names no signed state that was put elsewhere. Until one is, whoever holds the ledger and its key "
       "file could have "
       "written it anew."},
      {"pack.absent",
       "Not in this pack: {texts} {texts|text|texts} (removed on request, or names of persons) and {files} "
       "{files|file|files} that entries name. Their hashes stand in the entries."},
      {"pack.head-cautions", "Cautions"},
      {"pack.made-by", "Made by {program}."},

      // HOW-TO-CHECK.txt
      {"pack.manual-head",
       "HOW TO CHECK THIS PACK\n======================\n\nIt holds the evidence on {kind} {id}. Read START-HERE.html; "
       "this page is for "
       "whoever does not want to believe it.\nThe format is described in full in the program's docs/evidence-pack.md."},
      {"pack.manual-program",
       "1. With the program, on any machine, without the facility's ledger:\n\n    trayproof check PACK.zip "
       "--ledger-key '{vkey}'\n\n   "
       "Take the key from paper or from the facility itself, not from this page: whoever made up a pack made up this "
       "line too."},
      {"pack.manual-anchor",
       "2. Or against a checkpoint that somebody outside the facility kept (a page of the paper register, another "
       "site):\n\n    "
       "trayproof check PACK.zip --checkpoint FILE\n\n   This shows more than the key: even the holder of the "
       "facility's keys cannot "
       "have written the record anew since."},
      {"pack.manual-members",
       "3. By hand. Unpack it. These are its members:\n\n    entries.jsonl   the entries, one a line, with their "
       "hashes and "
       "signatures\n    proofs.txt      one proof an entry, in the same order\n    checkpoint.txt  the signed state "
       "they lead to\n    "
       "texts.jsonl     free texts, with the salt that their stand-in was made with\n    attachments/    raw files, "
       "each named by its "
       "SHA-256\n    consistency/    proofs from earlier signed states to this one\n    SHA256SUMS      hashes of all "
       "of these; "
       "signature.json signs them"},
      {"pack.manual-sums", "4. Nothing was damaged on the way:\n\n    sha256sum -c SHA256SUMS"},
      {"pack.manual-entries",
       "5. An entry's hash is the SHA-256 of a zero byte and then its bytes (the text under \"entry\"). It is also its "
       "leaf in the "
       "record's tree. A proof\n   lists the neighbours on the way up (RFC 9162, section 2.1.3); a node is the SHA-256 "
       "of a byte 1, the "
       "left hash, the right hash.\n   The last node is the root in the third line of checkpoint.txt. In python3:"},
      {"pack.manual-python",
       "    import base64, hashlib, json\n    sha = lambda b: hashlib.sha256(b).digest()\n    size, root = "
       "open('checkpoint.txt').read().split('\\n')[1:3]\n    proofs = open('proofs.txt').read().split('\\n\\n')\n    "
       "for line, proof in "
       "zip(open('entries.jsonl'), proofs):\n        row, proof = json.loads(line), proof.split('\\n')\n        node, "
       "at, last = "
       "sha(b'\\0' + row['entry'].encode()), int(proof[1][6:]), int(size) - 1\n        for h in map(base64.b64decode, "
       "proof[2:]):\n"
       "            if at % 2 or at == last:\n                node = sha(b'\\1' + h + node)\n                while at "
       "% 2 == 0 and at: at, "
       "last = at >> 1, last >> 1\n            else:\n                node = sha(b'\\1' + node + h)\n            at, "
       "last = at >> 1, last "
       ">> 1\n        assert last == 0 and base64.b64encode(node).decode() == root, line"},
      {"pack.manual-checkpoint",
       "6. The last line of checkpoint.txt is a signature: base64 of 4 bytes that name the key and 64 bytes of Ed25519 "
       "over the first "
       "three lines\n   with their line ends. With the key's 32 bytes (the last 32 of the base64 at the end of the "
       "verifier key) in "
       "key.der behind the\n   12 bytes 302a300506032b6570032100, the text in text and the 64 bytes in sig:\n\n    "
       "openssl pkeyutl -verify "
       "-pubin -keyform DER -inkey key.der -rawin -in text -sigfile sig"},
      {"pack.manual-signatures",
       "7. Each entry is signed by the key under \"key\": Ed25519 over the 32 bytes of its hash. Where \"sig\" is "
       "empty, a later entry of "
       "the same key in\n   this pack covers it (its \"signs\" is not above). Each key was added by a key-added entry "
       "before. "
       "signature.json signs, in the same way,\n   the lines {format}, the ledger's id, and the SHA-256 of "
       "SHA256SUMS."},
      {"pack.manual-older",
       "8. With a checkpoint of an earlier state, consistency/<its size>.txt proves that the record only grew since "
       "(RFC 9162, section "
       "2.1.4)."},
      {"pack.manual-whole",
       "9. whole.jsonl holds every entry of the record: each names the hash of the one before it under \"prev\", and "
       "all of them lead to "
       "the root."},
  };
  return words;
}

}  // namespace trayproof::english
