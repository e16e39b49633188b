// What the workbook for external review is made from: plain rows, worked out elsewhere. The sheets only lay them out.
//
// An absent optional or an empty text is shown as "not recorded" (or as the column says), never left to be guessed.
// Patients stand as pseudonyms, or as numbers where the caller was allowed to ask for them (`numbers_shown`).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/time.h"
#include "ledger/base/zone.h"

namespace trayproof::workbook {

struct EditionRow {
  std::int64_t seq = 0;
  std::string title;
  std::string edition;
  std::optional<Instant> judges_from;  // absent: from the first record on
  bool confirmed = false;
};

// One headline figure. `looked_at` counts `count` and `cannot_tell` in.
struct MeasureRow {
  std::string measure;
  std::int64_t count = 0;
  std::int64_t looked_at = 0;
  std::int64_t cannot_tell = 0;
  std::string says;  // what was counted, by which limit
};

// One pack of a procedure with the load that its use rests on.
struct CasePack {
  std::string pack;
  std::string set;
  std::string load;        // empty: no relevant load
  std::string verdict;     // reached, not-reached, cannot-tell; empty: no curve
  std::string hold;        // "31.5 min (curve)"
  std::string indicator;   // "inside pass, outside pass"
  std::string biological;  // "negative 2025-03-05"
  std::string release;     // "released 2025-03-04 11:40 by p-2"
  std::string solution;    // soaked in
  // The same as ids, for links; several where coarse times leave open which is meant.
  std::vector<std::string> load_ids = {};
  std::vector<std::string> solution_ids = {};
};

struct CaseRow {
  std::string procedure;
  std::optional<Instant> at;
  std::string sort;
  std::string place;
  std::string patient;
  std::vector<std::string> newborns;
  std::int64_t newborns_without_number = 0;
  std::vector<CasePack> packs;
  std::vector<std::string> gaps;  // rule ids, or rule ids with their subject
};

struct LoadRow {
  std::string load;
  bool earlier = false;  // ran before the period; a case of the period rests on it
  std::string method;
  std::string equipment;
  std::string cycle;
  std::optional<Instant> started;
  std::optional<Instant> ended;
  std::string complete;  // yes, no, or empty
  std::int64_t packs = 0;
  std::optional<double> temperature_c;  // as the operator read it
  std::optional<double> pressure_kpa_gauge;
  std::optional<double> hold_min;
  std::string verdict;
  std::optional<double> curve_hold_min;
  std::optional<double> f0_low;
  std::string indicators;
  std::string biological;
  std::string decision;  // released, rejected, none-asked, or empty
  std::optional<Instant> decided;
  std::string decided_by;
  std::vector<std::string> gaps;
};

struct GapRow {
  std::string rule;
  std::string severity;  // critical, major, minor, information
  std::string subject_kind;
  std::string subject;
  std::optional<Instant> at;
  std::string found;
  std::string limit;
  std::string says;
  std::string closes;
  std::vector<std::int64_t> seqs;
  std::string state;            // open, explained, accepted, action
  std::int64_t first_seen = 0;  // entry with which the record first showed it
  std::int64_t days_open = 0;   // from when it arose to the data's last day; of answered ones to the answer
  std::string second;           // of the answer: confirmed, awaiting; empty: none needed
};

// One reading of a chemical indicator.
struct IndicatorRow {
  std::int64_t seq = 0;
  std::optional<Instant> at;
  std::string pack;
  std::string load;
  std::vector<std::string> load_ids;
  std::string where;
  std::string type;
  std::string lot;
  std::string result;
  std::string by;
};

// What one person did of one skill in the period, and whether the competence for it was in date.
struct PersonRow {
  std::string person;
  std::string roles;
  std::optional<Instant> left;
  std::string skill;
  std::int64_t times = 0;  // loads started, packs packed …
  std::int64_t days = 0;   // of the facility, on which it was done
  std::optional<Instant> first;
  std::optional<Instant> last;
  std::string in_date;                  // "2026-01-01 to 2026-12-31", the record that holds on the last day
  std::int64_t days_without = 0;        // competence in date
  std::vector<std::string> without_on;  // those days
};

// One machine and one of its checks.
struct EquipmentRow {
  std::string equipment;
  std::string sort;
  std::string serial;
  std::string check;
  std::optional<Instant> passed;  // the last pass not later than the period's end
  std::optional<Instant> until;
  std::string result;  // of the last one, whether passed or not
  std::string as_found;
  std::string certificate;
  std::int64_t runs = 0;       // loads (of a logger: curves) in the period
  std::int64_t runs_past = 0;  // of these after `until`, or with no pass before
  std::string stopped;         // "2026-10-03 to 2026-10-05"
};

// One machine on one day on which it ran, or had a biological read.
struct MachineDay {
  std::string equipment;
  Instant day;  // its first moment
  std::int64_t loads = 0;
  std::int64_t negatives = 0;  // of loads of that day; those that prove something
  std::int64_t positives = 0;
  std::int64_t void_ones = 0;        // that prove nothing
  std::int64_t open_ones = 0;        // of which the record does not tell that
  std::optional<double> days_since;  // the last load with a valid biological
  std::optional<double> days_asked;  // by the SOP
  enum class Late { no, yes, cannot_tell };
  Late late = Late::no;  // by the rule `biological-overdue`; cannot be told where no test comes before
};

// One load as the charts of its sterilizer show it.
struct HoldPoint {
  std::string equipment;
  std::string load;
  Instant at;
  std::optional<double> minutes;
  std::optional<double> minutes_asked;
  std::optional<double> temperature_c;
  std::optional<double> set_c;
  std::optional<double> band_top_c;
};

struct WeekRow {
  Instant week;  // its Monday
  std::int64_t critical = 0;
  std::int64_t major = 0;
  std::int64_t minor = 0;
};

struct ExposureRow {
  std::string equipment;
  std::string load;  // with the last valid negative; empty: none
  std::optional<Instant> at;
  std::int64_t loads = 0;
  std::int64_t packs = 0;
  std::int64_t procedures = 0;
  std::int64_t patients = 0;
};

struct CurvePicture {
  std::string load;
  std::string verdict;
  std::string caption;  // what it shows, in words
  Bytes png;
  double pixels_a_unit = 1;
};

struct SolutionRow {
  std::string solution;
  std::string agent;
  std::string use;
  std::optional<Instant> prepared;
  std::string by;
  std::optional<double> percent;
  std::string recipe;
  std::optional<double> worked_out_percent;
  std::string lot;
  std::string tests;
  std::int64_t uses = 0;
  std::optional<Instant> first_use;
  std::optional<Instant> last_use;
  std::optional<Instant> end_of_life;
  std::optional<Instant> discarded;
  std::vector<std::string> gaps;
};

struct RecallRow {
  std::string recall;
  bool drill = false;
  std::string because;
  std::string subject;
  std::optional<Instant> opened;
  std::optional<Instant> as_of;
  std::int64_t known_at = 0;
  std::int64_t loads = 0;
  std::int64_t packs = 0;
  std::int64_t to_fetch = 0;  // packs still to be found
  std::int64_t procedures = 0;
  std::int64_t patients = 0;
  std::int64_t patients_unknown = 0;
  std::optional<Instant> closed;
  std::string state;   // open, awaiting-second, closed, reopened; empty where its list is gone
  std::string second;  // who was named to close it too
  std::string conclusion;
  std::string answer_sha256;
};

struct KeyRow {
  std::string key;  // hex
  std::string owner;
  std::string sort;  // person, station, ledger
  std::string state;
};

struct Proof {
  std::string origin;
  std::int64_t size = 0;
  std::string root;        // hex
  std::string head;        // hex
  std::string checkpoint;  // the signed note
  std::string ledger_key;  // vkey
  std::vector<KeyRow> keys;
};

struct LimitRow {
  std::string edition;
  std::string key;  // steam.program[1].hold_minutes_wrapped
  std::string value;
  std::string unit;
  std::string used_by;
};

struct NotCheckedRow {
  std::string what;
  std::string why;
};

struct Facts {
  std::string facility;
  Zone zone = Zone::utc();
  std::optional<Instant> from;
  std::optional<Instant> until;
  Instant data_as_of;  // `recorded` of the last event taken in; also the book's date of making
  std::string program;
  std::string what_if;  // that an edition judged which was not in force, in a sentence; empty: none did
  bool numbers_shown = false;
  std::vector<EditionRow> editions;
  std::vector<MeasureRow> measures;
  std::vector<CaseRow> cases;
  std::vector<LoadRow> loads;
  std::vector<GapRow> gaps;
  std::vector<SolutionRow> solutions;
  std::vector<RecallRow> recalls;
  std::vector<IndicatorRow> indicators;
  std::vector<PersonRow> people;
  std::vector<EquipmentRow> equipment;
  std::vector<MachineDay> machine_days;  // by machine, then day
  std::vector<HoldPoint> holds;          // by machine, then time
  std::vector<WeekRow> weeks;
  std::vector<ExposureRow> exposure;
  Instant exposed_as_of;
  std::vector<CurvePicture> pictures;  // by load's start
  std::int64_t pictures_left_out = 0;
  Proof proof;
  std::vector<LimitRow> limits;
  std::vector<NotCheckedRow> not_checked;
};

}  // namespace trayproof::workbook
