#include "ledger/words/english.h"

namespace trayproof::english {

// What the review gathers for the workbook, and what `gaps` and `report` print.
std::span<const Word> review() {
  static constexpr Word words[] = {
      // Measures: the figure, and what it counts.
      {"review.measure-packs", "Procedures with packs recorded"},
      {"review.measure-packs-says",
       "Every procedure of the period, but for those served by a disposable kit alone. Cannot tell: its packs are "
       "marked as "
       "not known."},
      {"review.measure-patient", "Procedures with a patient recorded"},
      {"review.measure-patient-says",
       "Every procedure of the period. One without a patient leaves a recall with nobody to tell."},
      {"review.measure-loads", "Uses of packs with a load that had ended before"},
      {"review.measure-loads-says",
       "A use is one pack in one procedure. Packs made elsewhere are left out. Rule {rule}."},
      {"review.measure-conditions", "Uses from loads whose recorded evidence reached the conditions"},
      {"review.measure-conditions-says",
       "Of the uses with a load. By the logger's curve; without one by the operator's temperature and hold; for "
       "boiling and "
       "chemicals by start and end. Cannot tell: neither is recorded, or the SOP states no limit."},
      {"review.measure-released", "Uses after the release of their load"},
      {"review.measure-released-says", "Uses from loads of methods that the SOP releases. Rule {rule}."},
      {"review.measure-physical", "Loads with a physical record"},
      {"review.measure-physical-says",
       "Steam, dry heat and thermal disinfection: a curve, or any reading of the operator. Rule {rule}."},
      {"review.measure-curves", "Loads with a logger's curve"},
      {"review.measure-curves-says",
       "The same loads. A curve is not asked for; without one nobody sees what the gauge did not show."},
      {"review.measure-indicators", "Used packs whose inside indicator was read"},
      {"review.measure-indicators-says", "Packs of wraps for which the SOP asks for one. Rule {rule}."},
      {"review.measure-biologicals", "Loads within the SOP's days of a valid negative biological"},
      {"review.measure-biologicals-says",
       "Loads of methods that the SOP tests, by start; the last load of that machine and method with a valid negative, "
       "not "
       "later than this one."},
      {"review.measure-biological-readings", "Biological readings that prove something"},
      {"review.measure-biological-readings-says",
       "Control with growth, lot in date, read after its hours. Rule {rule}."},
      {"review.measure-soaks", "Soaks within the SOP's least and longest time"},
      {"review.measure-soaks-says", "Cannot tell: no end recorded, or times too coarse."},
      {"review.measure-tests", "Solutions tested before their first use"},
      {"review.measure-tests-says",
       "Solutions for which the SOP asks for a test; where it asks for one each day, each day of use by itself. Rules "
       "{rule} and "
       "solution-tested-late."},
      {"review.measure-cleaning", "Packs whose set was cleaned in their turn"},
      {"review.measure-cleaning-says",
       "Packs that went into a load, but for sets that the SOP exempts. Cannot tell: sets that cannot be told apart. "
       "Rule {rule}."},
      {"review.measure-inspection", "Packs whose set was inspected in their turn"},
      {"review.measure-inspection-says",
       "Every pack packed here. Cannot tell: sets that cannot be told apart. Rule {rule}."},
      {"review.measure-entered", "Events entered in time"},
      {"review.measure-entered-says", "Within the SOP's hours of when they happened. Rule {rule}."},
      // Cases and loads.
      {"review.or", " or "},
      {"review.hold-curve", "{minutes} min (curve)"},
      {"review.hold-read", "{minutes} min (read)"},
      {"review.hold-times", "{minutes} min (start to end)"},
      {"review.no-result", "no result"},
      {"review.load-strip", "load: {what}"},
      {"review.biological-read", "{result}, read {day}"},
      {"review.biological-void", "{result}, read {day}, proves nothing"},
      {"review.biological-unread", "placed, not read"},
      {"review.biological-between", "between negatives of {before} and {after}"},
      {"review.biological-since", "since negative of {before}; none after"},
      {"review.biological-until", "none before; negative of {after} after"},
      {"review.biological-no-bound", "no valid negative before or after"},
      {"review.none-asked", "none asked for"},
      {"review.released", "released {at} by {by}"},
      {"review.rejected", "rejected {at} by {by}"},
      {"review.after-use", " (after the use)"},
      {"review.not-told-apart", "set not told apart from its likes"},
      {"review.made-elsewhere", "made elsewhere"},
      {"review.text-removed", "(text removed on request)"},
      // Solutions.
      {"review.recipe-stock", "stock {percent} %: {stock} ml, water {water} ml"},
      {"review.recipe-powder", "powder {percent} %: {powder} g, water {water} ml"},
      {"review.recipe-ready", "ready to use"},
      {"review.strip", "strip {result}"},
      // Proof.
      {"review.key-in-use", "in use"},
      {"review.key-retired", "retired {day} ({cause})"},
      {"review.no-checkpoint", "None was signed yet. `trayproof checkpoint` signs the present state."},
      {"review.no-edition", "the ledger has no SOP edition; adopt one first"},
      {"review.no-recorded", "entry {seq} does not say when it was recorded"},
      // Limits and what was not checked.
      {"review.what-if-mark", " (what if)"},
      {"review.empty-list", "none"},
      {"review.by-default", "{value} (default: the edition does not state it)"},
      {"review.limit", "Limit {key}"},
      {"review.limit-not-stated",
       "\"{edition}\" does not state it, so nothing is held to it. It would be read by: {readers}."},
      {"review.limit-hours",
       "\"{edition}\" does not state it. Where the lot states no hours either, a reading is taken at any hour."},
      {"review.rule", "Rule {rule}: part of what it looked at"},
      {"review.rule-cannot-tell",
       "{count} of {subjects} could not be judged: the record that it needs does not exist or is marked as not known."},
      {"review.rules-without-limit", "Rules that met things for which the SOP states no limit"},
      {"review.rules-without-occasion", "Rules with nothing to look at in the period"},
      {"review.curves-waiting", "Curves that wait for their place: {count}"},
      {"review.curves-waiting-why",
       "They fit no load, or more than one, and nobody has placed them. What they show stands in no verdict. "
       "`trayproof import place`."},
      {"review.unknown-events", "Entries that this program does not know: {count}"},
      {"review.unknown-events-why",
       "A newer program wrote them. They are kept, verified and exported; no figure here counts them."},
      {"review.back-records", "Back records: {count} events"},
      {"review.back-records-why",
       "They happened more than 30 days before the ledger was opened and were entered afterwards. They are not judged "
       "for lateness."},
      {"review.counted", "Whether every procedure was entered: {what} counted from {from} to {until}"},
      {"review.counted-why",
       "Another register counted {number} (entry {seq}); this ledger holds {here} procedures of all sorts of those "
       "days. Which are missing "
       "the ledger cannot tell."},
      {"review.uncovered", "The newest entries, against the keys of this facility"},
      {"review.uncovered-why",
       "The newest checkpoint covers {covered} of {size} entries. A checkpoint of the present state covers all."},
      {"review.never-entered", "What was never entered"},
      {"review.never-entered-why",
       "No rule can see it. Compare with other registers: births, operations, stock of strips, the machines' own "
       "counters."},
      // gaps
      {"gaps.command.title", "{facility}: gaps, {from} to {until}"},
      {"gaps.command.from-first", "first record"},
      {"gaps.command.until-now", "now"},
      {"gaps.command.edition", "Judged by \"{title}\", edition {edition} (entry {seq}), {state}"},
      {"gaps.command.what-if", "WHAT IF: judged by \"{title}\", edition {edition}, which was not in force"},
      {"gaps.command.confirmed", "confirmed by the facility"},
      {"gaps.command.unconfirmed", "NOT CONFIRMED by the facility"},
      {"gaps.command.critical", "CRITICAL ({count}): a patient may have been reached"},
      {"gaps.command.major", "MAJOR ({count}): a control is missing or failed"},
      {"gaps.command.minor", "MINOR ({count})"},
      {"gaps.command.information", "FOR INFORMATION ({count})"},
      {"gaps.command.rule", "{title} [{rule}]"},
      {"gaps.command.finding", "  {at}  {says}"},
      {"gaps.command.seqs", "      entries {seqs}"},
      {"gaps.command.seqs-state", "      entries {seqs}; {state} by entry {answer}"},
      {"gaps.command.closes", "      Closes it: {closes}"},
      {"gaps.command.none", "No gap found in what was looked at."},
      {"gaps.command.looked-at", "What was looked at"},
      {"gaps.command.count-head", "looked at    gaps  cannot tell  rule"},
      {"gaps.command.without-occasion", "Nothing to look at for: {rules}"},
      {"gaps.command.without-limit", "The SOP states no limit (not checked) for some or all of: {rules}"},
      {"gaps.command.back-records",
       "{count} back records (more than 30 days before the ledger) were not judged for lateness."},
      {"gaps.command.total",
       "Gaps: {gaps}, of them open: {open}. Could not be judged for want of a record: {cannot_tell}."},
      {"gaps.command.unknown-rule", "there is no rule {found}; the rules are: {rules}"},
      {"gaps.command.unknown-severity", "severity is critical, major, minor or information, not {found}"},
      {"gaps.command.unknown-time",
       "{option} takes a date (2026-11-03) or a date and time with its offset (2026-11-03T08:00+05:00), not {found}"},
      {"gaps.command.backward", "--from {from} is later than --to {until}"},
      // report
      {"report.command.written",
       "{file}: procedures {cases}, loads {loads}, gaps {gaps}; could not be judged: {cannot_tell}."},
      {"report.command.sha256", "SHA-256 {sha256}"},
      {"report.command.unsigned",
       "This ledger opens for reading only (no key file): the newest kept checkpoint stands in the book."},
  };
  return words;
}

}  // namespace trayproof::english
