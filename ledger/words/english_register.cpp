#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> registers() {
  static constexpr Word words[] = {
      {"register.refused-cell", "found {found}; allowed is {allowed}"},
      {"register.a-time", "a date, a time of day, or both"},
      {"register.a-day-at-least", "a date-time, or a date known to the day"},
      {"register.no-such-day", "found {found}, which is no day read as {order}; allowed is a day that exists"},
      {"register.order-dmy", "day, month, year"},
      {"register.order-mdy", "month, day, year"},
      {"register.order-ymd", "year, month, day"},
      {"register.no-day", "a time of day stands without its date; needed is the date in the same row"},
      {"register.clock-skipped", "that time of day was skipped in {zone} when the clocks went forward; allowed is a time that was"},
      {"register.clock-twice",
       "that time of day came twice in {zone} when the clocks went back; needed is its offset (as +02:00)"},
      {"register.other-unit", "a number in {unit}, or in a unit that can be turned into it"},
      {"register.no-unit", "a number without a unit"},
      {"register.bad-character", "a cell holds characters that are none in the file's encoding; say another with --encoding"},
      {"register.too-many-cells", "the row has {found} cells, the headings have {allowed}; allowed are as many at most"},
      {"register.nothing", "nothing"},
      {"register.understood", "{field}: {found} -> {meant}"},

      {"register.no-headings",
       "none of the first rows names a field of {kind}; say which row holds the headings (--header-row N) or which column "
       "is which (--column FIELD=HEADING, or FIELD=#3 for the third)"},
      {"register.no-such-heading", "no column has the heading \"{heading}\""},
      {"register.orders-mixed",
       "some dates can only be read day first and others only month first; with --date-order the rows that do not fit are refused"},
      {"register.no-such-field", "{kind} has no field \"{found}\"; its fields are {allowed}"},
      {"register.bad-option", "{option} cannot be \"{found}\"; `import register --help` shows what it takes"},
      {"register.patient-argument", "patients' numbers are not given as arguments; {field} must stand in a column"},
      {"register.pair-form", "{option} takes NAME=VALUE, found \"{found}\""},
      {"register.kind", "\"{found}\" is no kind that a register can hold; allowed are: {allowed}"},

      {"register.no-json", "the file begins like JSON and cannot be read as such"},
      {"register.no-bundle", "the file is JSON and no FHIR Bundle; allowed is a Bundle (resourceType \"Bundle\")"},
      {"register.bundle-status", "Procedure, status {status}"},
      {"register.bundle-ignored", "left out: {what}, {count} times"},

      {"register.read", "{file}: {rows} rows of data, {skipped} left out (headings again, notes, totals)"},
      {"register.read-bundle", "{file}: a FHIR Bundle, {rows} Procedures, {skipped} entries left out"},
      {"register.how",
       "  read as {encoding}, cells parted by {delimiter}, decimal {decimal}, dates {order}, zone {zone}, headings in row {row}"},
      {"register.column", "  column {number} \"{heading}\" -> {field}{unit}{said}"},
      {"register.column-unit", " ({unit})"},
      {"register.column-said", ", as said"},
      {"register.unread", "  column {number} \"{heading}\" is not read"},
      {"register.unread-either", "  column {number} \"{heading}\" is not read; it could be {fields}: say --column FIELD=#{number}"},
      {"register.word", "  {word} ({count} times)"},
      {"register.missing",
       "No column holds {fields}. Say which does with --column FIELD=HEADING, or what holds for every row with --fixed "
       "FIELD=VALUE, or that it was not written down with --empty not-recorded."},
      {"register.missing-at", "The rows tell no time. Say when it was, or since when it holds, with --at."},
      {"register.refused-row", "row {row}{column}{field}: {why}"},
      {"register.row-column", ", column \"{heading}\""},
      {"register.row-field", ", {field}"},
      {"register.would-take", "{count} rows would be recorded; nothing was (--dry-run)"},
      {"register.would-repeat", "{count} rows are recorded already and would change nothing"},
      {"register.shown-event", "  row {row}: {event}"},
      {"register.more-events", "  and {count} more"},
      {"register.profile-saved", "The matching is kept as profile {name} in {file}"},
      {"register.profile-kind", "the profile {name} is for {found}, not for {kind}"},
      {"help.register", "take in the rows of a spreadsheet (CSV) or a FHIR Bundle as events"},
      {"help.register-footer",
       "Columns are matched to fields by their headings; the matching is printed, and what is not told by the headings is "
       "asked. Look first with --dry-run. The spreadsheet itself is not kept. docs/registers.md tells more."},
      {"help.register-file", "the spreadsheet saved as CSV or TSV, or a FHIR R4 Bundle; - for standard input"},
      {"help.register-kind", "what each row is: procedure-done, packed, load-started, indicator-read, …"},
      {"help.register-column",
       "FIELD=HEADING, or FIELD=#3 for the third column; -=HEADING leaves a column unread. May be given again"},
      {"help.register-fixed", "FIELD=VALUE for every row whose cell says nothing; unknown.FIELD=not-recorded too"},
      {"help.register-word", "FOUND=MEANT: what a word of the register stands for"},
      {"help.register-empty", "not-recorded: needed fields with empty cells were not written down"},
      {"help.register-at", "when it was, or since when it holds, where the rows tell no time"},
      {"help.register-header-row", "the row that holds the headings; 0 for none"},
      {"help.register-from-row", "the first row to take"},
      {"help.register-delimiter", ", ; tab or |"},
      {"help.register-profile", "a matching kept before"},
      {"help.register-save-profile", "keep this matching under a name"},
      {"command.ask-column", "which column holds it?"},
      {"command.ask-header-row", "which row holds the headings?"},
      {"register.empty-form", "--empty takes not-recorded, found \"{found}\""},
  };
  return words;
}

}  // namespace trayproof::english
