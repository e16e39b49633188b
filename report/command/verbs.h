// One function a verb, each in a file of its name. Options are plain; run.cpp reads them from the command line.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "report/command/context.h"
#include "report/command/numbers.h"

namespace trayproof::command {

struct CreateOptions {
  std::string name;
  std::string zone;
  std::optional<double> altitude_m;
  std::optional<std::string> sop;
  std::optional<std::string> continues;  // file of the ledger before
  std::string station = "station-1";
};
Status create(const Context& context, const CreateOptions& options);

// Into a folder that is not there yet.
Status demo(const Context& context, const std::string& folder);

struct RecordOptions {
  std::optional<std::string> kind;
  std::vector<std::string> fields;  // FIELD=VALUE
  std::optional<std::string> at;
  std::optional<std::string> by;
  std::optional<std::string> body;  // JSON
  std::optional<std::string> from;  // file, or - for standard input
  bool keep_good = false;
};
Status record(const Context& context, const RecordOptions& options);

struct VerifyRecordOptions {
  bool full = false;
  std::vector<std::string> checkpoints = {};  // files from elsewhere
  std::vector<std::string> witness_keys = {};
};
Status verify_record(const Context& context, const VerifyRecordOptions& options);

struct ExportOptions {
  std::int64_t from_seq = 1;
};
Status export_entries(const Context& context, const ExportOptions& options);

Status key_list(const Context& context);

struct KeyRetireOptions {
  std::string key;  // hex, or the beginning of one
  std::string cause;
  std::optional<std::string> since;
};
Status key_retire(const Context& context, const KeyRetireOptions& options);

struct KeyRotateOptions {
  std::string which = "station";
  std::string cause = "rotated";
  std::optional<std::string> since;
};
Status key_rotate(const Context& context, const KeyRotateOptions& options);

struct PersonEnrolOptions {
  std::string person;
  std::string name;
  std::vector<std::string> roles;
};
Status person_enrol(const Context& context, const PersonEnrolOptions& options);
Status person_pin(const Context& context, const std::string& person);

struct PersonLeaveOptions {
  std::string person;
  std::optional<std::string> at;
};
Status person_leave(const Context& context, const PersonLeaveOptions& options);
Status person_list(const Context& context);

Status countersign(const Context& context, std::int64_t seq);

struct CheckpointOptions {
  std::optional<std::string> output;
  std::optional<std::string> qr;  // a picture's file
  std::optional<std::string> kept;
  std::optional<std::string> witness;  // file
  std::vector<std::string> witness_keys;
};
Status checkpoint(const Context& context, const CheckpointOptions& options);

struct SendOptions {
  std::string output;
  std::optional<std::int64_t> since;
  std::vector<std::string> witness_keys;
};
Status send_parcel(const Context& context, const SendOptions& options);

struct BackupOptions {
  std::string file;
};
Status backup(const Context& context, const BackupOptions& options);

Status rebuild(const Context& context);

// One of pseudonym, text (seq and pointer) and file; the patient's number on standard input when there is none.
struct EraseOptions {
  std::optional<std::string> pseudonym;
  std::vector<std::string> text;
  std::optional<std::string> file;
  std::string second;
};
Status erase(const Context& context, const EraseOptions& options);

// Packs, or all of a load; one of the two.
struct LabelOptions {
  std::vector<std::string> packs;  // with `badges` people
  bool badges = false;
  std::optional<std::string> load;
  std::string output;  // .pdf, .svg or .png
  bool single = false;
};
Status label_packs(const Context& context, const LabelOptions& options);

// Of a picture on standard input.
Status read_code(const Context& context);

struct RestoreOptions {
  std::string file;
  std::string second;
  std::vector<std::string> checkpoints;
  std::vector<std::string> erasures;
};
Status restore(const Context& context, const RestoreOptions& options);

struct TraceOptions {
  std::string subject;
  std::optional<std::string> kind;
  NumbersOptions numbers = {};
};
Status trace_subject(const Context& context, const TraceOptions& options);

struct RecallOptions {
  std::string because;
  std::optional<std::string> load, pack, equipment, at, check, solution, lot, procedure, loads, packs, why;
  std::optional<std::string> as_of;
  std::optional<std::int64_t> known_at;
  std::optional<std::string> open;
  bool drill = false;
  std::optional<std::string> call_list;
  NumbersOptions numbers = {};
};
Status recall_reached(const Context& context, const RecallOptions& options);

Status exposure(const Context& context);

struct GapsOptions {
  std::optional<std::string> from, to, rule, severity, sop;
  bool strict = false;
  bool cannot_tell = false;  // name what could not be judged
};
Status gaps(const Context& context, const GapsOptions& options);

struct ReportOptions {
  std::optional<std::string> from, to;  // both for the workbook and the register
  std::string output;                   // .xlsx: the workbook; .pdf: a sheet of paper
  std::optional<std::string> sop;
  std::optional<std::string> subject = {}, kind = {};  // a sheet about one procedure, load or recall
  NumbersOptions numbers = {};
};
Status report(const Context& context, const ReportOptions& options);
// The part of `report` that makes paper.
Result<Status> report_paper(const Context& context, Ledger& ledger, const ReportOptions& options);

struct EvidenceOptions {
  std::string subject, output;
  std::optional<std::string> kind;
  bool whole = false;
  NumbersOptions numbers;
};
Status evidence_pack(const Context& context, const EvidenceOptions& options);

struct CheckOptions {
  std::string file;
  std::optional<std::string> ledger_key, checkpoint;
};
Status check_pack(const Context& context, const CheckOptions& options);

struct ImportCurveOptions {
  std::vector<std::string> files;
  std::optional<std::string> equipment, logger, load, encoding, delimiter, decimal, date_order, pressure, zone, start;
  std::vector<std::string> units;  // CHANNEL=UNIT
  std::optional<std::string> profile, save_profile;
  std::optional<std::string> plot;
  bool dry_run = false;
};
Status import_curve(const Context& context, const ImportCurveOptions& options);

struct ImportPlaceOptions {
  std::int64_t curve = 0;
  std::string load;
  std::optional<std::string> equipment;  // that the curve was measured on, where its import named another
};
Status import_place(const Context& context, const ImportPlaceOptions& options);

struct ImportRegisterOptions {
  std::string file;  // or - for standard input
  std::string kind;
  std::optional<std::string> profile, save_profile, by, at, encoding, delimiter, decimal, date_order, zone, empty;
  std::optional<std::int64_t> header_row, from_row;
  std::vector<std::string> columns;  // FIELD=HEADING
  std::vector<std::string> fixed;    // FIELD=VALUE
  std::vector<std::string> words;    // FOUND=MEANT
  bool keep_good = false;
  bool dry_run = false;
};
Status import_register(const Context& context, const ImportRegisterOptions& options);

struct MixOptions {
  std::string agent;
  std::optional<double> stock_percent, available_percent, percent, volume_l;
  std::optional<double> stock_ml, powder_g, water_ml;  // backwards
};
Status mix(const Context& context, const MixOptions& options);

struct ServeOptions {
  int port = 8460;
  std::string bind = "127.0.0.1";
  std::vector<std::string> hosts;
  std::optional<std::string> tls_cert, tls_key;
  bool behind_proxy = false;
  bool routes = false;  // only shows the table of addresses
};
Status serve(const Context& context, const ServeOptions& options);

struct StationAddOptions {
  std::string label;
  bool token = false;
};
Status station_add(const Context& context, const StationAddOptions& options);
Status station_list(const Context& context);
Status station_remove(const Context& context, const std::string& label);

Status sop_check(const Context& context, const std::string& file);

}  // namespace trayproof::command
