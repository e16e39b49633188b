// The tree of verbs and options, and what each calls. Only the files of this name include CLI11.
#include "report/command/run.h"

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <cstdlib>
#include <functional>
#include <iostream>
#include <sstream>

#include "ledger/events/kinds.h"
#include "ledger/version.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/command/answer.h"
#include "report/command/import_verbs.h"
#include "report/command/recall_work.h"
#include "report/command/run_district.h"
#include "report/command/sop.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

struct Globals {
  std::string ledger = "facility.trayproof";
  bool json = false;
  bool quiet = false;
  bool network_drive = false;
  std::optional<std::string> as;
  std::optional<int> pin_fd;
  std::string language;
};

// Looked for before the options are read, so that help and refusals of options are in that language too.
std::string language_asked(int argc, const char* const* argv) {
  constexpr std::string_view option = "--language";
  std::string asked;
  bool json = false;
  for (int i = 1; i < argc; ++i) {
    const std::string_view one = argv[i];
    if (one == "--json") json = true;
    if (one == option && i + 1 < argc) asked = argv[i + 1];
    if (one.starts_with("--language=")) asked = one.substr(option.size() + 1);
  }
  const char* usual = std::getenv("TRAYPROOF_LANGUAGE");
  if (asked.empty() && usual != nullptr && !json) asked = usual;
  return asked;
}

class Tree {
 public:
  explicit Tree(CLI::App& app) : app_(app) {
    add_ledger_verbs();
    add_question_verbs();
    add_import_verbs();
    add_solution_verbs();
    add_label_verb();
    add_answer_verb();
    add_desk_verbs();
    district_.emplace(app, [this](Action action) { chosen_ = std::move(action); });
  }
  const Action& chosen() const { return chosen_; }

 private:
  CLI::App* verb(CLI::App& parent, const std::string& name, const std::string& key, Action action) {
    CLI::App* added = parent.add_subcommand(name, say(key));
    added->fallthrough();
    added->callback([this, action = std::move(action)] { chosen_ = action; });
    return added;
  }
  static void numbers_options(CLI::App* verb, NumbersOptions& into) {
    verb->add_flag("--numbers", into.numbers, say("help.numbers"));
    verb->add_option("--reason", into.reason, say("help.reason"));
  }
  template <typename T>
  static void option(CLI::App* verb, const std::string& name, T& into, const std::string& key) {
    verb->add_option(name, into, say(key));
  }

  void add_ledger_verbs();
  void add_record_verb();
  void add_people_verbs();
  void add_copy_verbs();
  void add_question_verbs();
  void add_recall_verb();
  void add_recall_work(CLI::App& recalls);
  void add_evidence_verbs();
  void add_import_verbs();
  void add_desk_verbs();
  void add_register_verb(CLI::App& imports);
  void add_solution_verbs();
  void add_label_verb();
  void add_answer_verb();

  CLI::App& app_;
  Action chosen_;
  CreateOptions create_;
  RecordOptions record_;
  VerifyRecordOptions verify_;
  ExportOptions export_;
  CheckpointOptions checkpoint_;
  SendOptions send_;
  BackupOptions backup_;
  EraseOptions erase_;
  RestoreOptions restore_;
  TraceOptions trace_;
  RecallOptions recall_;
  std::string recall_id_;
  RecallAnswerOptions recall_answer_;
  RecallCloseOptions recall_close_;
  GapsOptions gaps_;
  ReportOptions report_;
  EvidenceOptions evidence_;
  CheckOptions check_;
  ImportCurveOptions curve_;
  ImportPlaceOptions place_;
  std::int64_t refused_curve_ = 0;
  ImportRejudgeOptions rejudge_;
  ImportRegisterOptions register_;
  std::optional<DistrictVerbs> district_;
  std::string demo_folder_ = "trayproof-demo";
  MixOptions mix_;
  LabelOptions label_;
  AnswerOptions answer_;
  std::string sop_file_;
  SopAdoptOptions sop_adopt_;
  SopCompareOptions sop_compare_;
  SopConfirmOptions sop_confirm_;
  ServeOptions serve_;
  StationAddOptions station_;
  std::string station_gone_;
  KeyRotateOptions rotate_;
  KeyRetireOptions retire_;
  PersonEnrolOptions enrol_;
  std::string pin_of_;
  PersonLeaveOptions leave_;
  std::int64_t countersigned_ = 0;
};

void Tree::add_record_verb() {
  std::string names;
  for (const events::Kind& kind : events::kinds()) {
    if (kind.recordable()) names += (names.empty() ? "" : ", ") + std::string(kind.name);
  }
  CLI::App* one = verb(app_, "record", "help.record", [this](const Context& c) { return record(c, record_); });
  one->footer(say("help.record-footer", {{"kinds", names}}));
  option(one, "kind", record_.kind, "help.record-kind");
  option(one, "fields", record_.fields, "help.record-fields");
  option(one, "--at", record_.at, "help.record-at");
  option(one, "--by", record_.by, "help.record-by");
  option(one, "--body", record_.body, "help.record-body");
  option(one, "--from", record_.from, "help.record-from");
  one->add_flag("--keep-good", record_.keep_good, say("help.record-keep-good"));
}

void Tree::add_people_verbs() {
  CLI::App* persons = app_.add_subcommand("person", say("help.person"));
  persons->require_subcommand(1);
  persons->fallthrough();
  CLI::App* enrolled =
      verb(*persons, "enrol", "help.person-enrol", [this](const Context& c) { return person_enrol(c, enrol_); });
  enrolled->add_option("person", enrol_.person, say("help.person-id"))->required();
  enrolled->add_option("--name", enrol_.name, say("help.person-name"))->required();
  enrolled->add_option("--role", enrol_.roles, say("help.person-role"))->required();
  CLI::App* pin = verb(*persons, "pin", "help.person-pin", [this](const Context& c) { return person_pin(c, pin_of_); });
  pin->add_option("person", pin_of_, say("help.person-id"))->required();
  CLI::App* left =
      verb(*persons, "leave", "help.person-leave", [this](const Context& c) { return person_leave(c, leave_); });
  left->add_option("person", leave_.person, say("help.person-id"))->required();
  option(left, "--at", leave_.at, "help.person-leave-at");
  verb(*persons, "list", "help.person-list", [](const Context& c) { return person_list(c); });
  CLI::App* signed_too = verb(app_, "countersign", "help.countersign",
                              [this](const Context& c) { return countersign(c, countersigned_); });
  signed_too->add_option("seq", countersigned_, say("help.countersign-seq"))->required();
}

void Tree::add_copy_verbs() {
  CLI::App* sent = verb(app_, "send", "help.send", [this](const Context& c) { return send_parcel(c, send_); });
  sent->footer(say("help.send-footer"));
  sent->add_option("-o,--output", send_.output, say("help.send-output"))->required();
  option(sent, "--since", send_.since, "help.send-since");
  option(sent, "--witness-key", send_.witness_keys, "help.send-witness-key");
  CLI::App* copied = verb(app_, "backup", "help.backup", [this](const Context& c) { return backup(c, backup_); });
  copied->add_option("file", backup_.file, say("help.backup-file"))->required();
  CLI::App* put_back = verb(app_, "restore", "help.restore", [this](const Context& c) { return restore(c, restore_); });
  put_back->add_option("file", restore_.file, say("help.restore-file"))->required();
  put_back->add_option("--second", restore_.second, say("help.restore-second"))->required();
  option(put_back, "--checkpoint", restore_.checkpoints, "help.restore-checkpoint");
  option(put_back, "--erasures", restore_.erasures, "help.restore-erasures");
  CLI::App* erased = verb(app_, "erase", "help.erase", [this](const Context& c) { return erase(c, erase_); });
  option(erased, "--pseudonym", erase_.pseudonym, "help.erase-pseudonym");
  erased->add_option("--text", erase_.text, say("help.erase-text"))->expected(2)->type_name("SEQ POINTER");
  option(erased, "--file", erase_.file, "help.erase-file");
  erased->add_option("--second", erase_.second, say("help.erase-second"))->required();
}

void Tree::add_ledger_verbs() {
  CLI::App* made = verb(app_, "create", "help.create", [this](const Context& c) { return create(c, create_); });
  made->add_option("--name", create_.name, say("help.create-name"))->required();
  made->add_option("--zone", create_.zone, say("help.create-zone"))->required();
  option(made, "--altitude-m", create_.altitude_m, "help.create-altitude");
  option(made, "--sop", create_.sop, "help.create-sop");
  option(made, "--continues", create_.continues, "help.create-continues");
  CLI::App* shown = verb(app_, "demo", "help.demo", [this](const Context& c) { return demo(c, demo_folder_); });
  option(shown, "--dir", demo_folder_, "help.demo-dir");
  add_record_verb();
  add_people_verbs();
  CLI::App* checked =
      verb(app_, "verify", "help.verify", [this](const Context& c) { return verify_record(c, verify_); });
  checked->add_flag("--full", verify_.full, say("help.verify-full"));
  option(checked, "--checkpoint", verify_.checkpoints, "help.verify-checkpoint");
  option(checked, "--witness-key", verify_.witness_keys, "help.witness-key");
  CLI::App* exported =
      verb(app_, "export", "help.export", [this](const Context& c) { return export_entries(c, export_); });
  option(exported, "--from-seq", export_.from_seq, "help.export-from");
  CLI::App* keys = app_.add_subcommand("key", say("help.key"));
  keys->require_subcommand(1);
  keys->fallthrough();
  verb(*keys, "list", "help.key-list", [](const Context& c) { return key_list(c); });
  CLI::App* rotated =
      verb(*keys, "rotate", "help.key-rotate", [this](const Context& c) { return key_rotate(c, rotate_); });
  option(rotated, "which", rotate_.which, "help.key-rotate-which");
  option(rotated, "--cause", rotate_.cause, "help.key-cause");
  option(rotated, "--since", rotate_.since, "help.key-since");
  CLI::App* retired =
      verb(*keys, "retire", "help.key-retire", [this](const Context& c) { return key_retire(c, retire_); });
  retired->add_option("key", retire_.key, say("help.key-retire-key"))->required();
  retired->add_option("--cause", retire_.cause, say("help.key-cause"))->required();
  option(retired, "--since", retire_.since, "help.key-since");
  CLI::App* signed_state =
      verb(app_, "checkpoint", "help.checkpoint", [this](const Context& c) { return checkpoint(c, checkpoint_); });
  option(signed_state, "-o,--output", checkpoint_.output, "help.checkpoint-output");
  option(signed_state, "--qr", checkpoint_.qr, "help.checkpoint-qr");
  option(signed_state, "--kept", checkpoint_.kept, "help.checkpoint-kept");
  option(signed_state, "--witness", checkpoint_.witness, "help.checkpoint-witness");
  option(signed_state, "--witness-key", checkpoint_.witness_keys, "help.witness-key");
  add_copy_verbs();
  verb(app_, "rebuild", "help.rebuild", [](const Context& c) { return rebuild(c); });
  CLI::App* sops = app_.add_subcommand("sop", say("help.sop"));
  sops->require_subcommand(1);
  sops->fallthrough();
  CLI::App* check =
      verb(*sops, "check", "help.sop-check", [this](const Context& c) { return sop_check(c, sop_file_); });
  check->add_option("file", sop_file_, say("help.sop-file"))->required();
  CLI::App* adopted =
      verb(*sops, "adopt", "help.sop-adopt", [this](const Context& c) { return sop_adopt(c, sop_adopt_); });
  adopted->add_option("file", sop_adopt_.file, say("help.sop-file"))->required();
  option(adopted, "--in-force", sop_adopt_.in_force, "help.sop-in-force");
  CLI::App* compared =
      verb(*sops, "compare", "help.sop-compare", [this](const Context& c) { return sop_compare(c, sop_compare_); });
  compared->add_option("file", sop_compare_.file, say("help.sop-file"))->required();
  option(compared, "other", sop_compare_.other, "help.sop-other");
  CLI::App* confirmed =
      verb(*sops, "confirm", "help.sop-confirm", [this](const Context& c) { return sop_confirm(c, sop_confirm_); });
  confirmed->add_option("file", sop_confirm_.file, say("help.sop-confirm-file"))->required();
  option(confirmed, "--second", sop_confirm_.second, "help.sop-second");
  verb(*sops, "list", "help.sop-list", [](const Context& c) { return sop_list(c); });
}

void Tree::add_recall_verb() {
  CLI::App* one = app_.add_subcommand("recall", say("help.recall"));
  one->fallthrough();
  // The verbs below it are called before it is.
  one->callback([this, one] {
    if (one->get_subcommands().empty()) chosen_ = [this](const Context& c) { return recall_reached(c, recall_); };
  });
  one->footer(say("help.recall-footer"));
  option(one, "--because", recall_.because, "help.recall-because");
  option(one, "--load", recall_.load, "help.recall-subject");
  option(one, "--pack", recall_.pack, "help.recall-subject");
  option(one, "--equipment", recall_.equipment, "help.recall-subject");
  option(one, "--at", recall_.at, "help.recall-at");
  option(one, "--check", recall_.check, "help.recall-check");
  option(one, "--solution", recall_.solution, "help.recall-subject");
  option(one, "--lot", recall_.lot, "help.recall-subject");
  option(one, "--procedure", recall_.procedure, "help.recall-subject");
  option(one, "--loads", recall_.loads, "help.recall-list");
  option(one, "--packs", recall_.packs, "help.recall-list");
  option(one, "--why", recall_.why, "help.recall-why");
  option(one, "--as-of", recall_.as_of, "help.as-of");
  option(one, "--known-at", recall_.known_at, "help.known-at");
  option(one, "--open", recall_.open, "help.recall-open");
  one->add_flag("--drill", recall_.drill, say("help.recall-drill"));
  option(one, "--call-list", recall_.call_list, "help.recall-call-list");
  numbers_options(one, recall_.numbers);
  add_recall_work(*one);
}

void Tree::add_recall_work(CLI::App& recalls) {
  CLI::App* shown =
      verb(recalls, "show", "help.recall-show", [this](const Context& c) { return recall_show(c, recall_id_); });
  shown->add_option("recall", recall_id_, say("help.recall-id"))->required();
  CLI::App* answered = verb(recalls, "answer", "help.recall-answer",
                            [this](const Context& c) { return recall_answer(c, recall_answer_); });
  answered->add_option("recall", recall_answer_.recall, say("help.recall-id"))->required();
  option(answered, "--pack", recall_answer_.packs, "help.recall-answer-pack");
  option(answered, "--procedure", recall_answer_.procedures, "help.recall-answer-procedure");
  answered->add_option("--outcome", recall_answer_.outcome, say("help.recall-outcome"))->required();
  option(answered, "--text", recall_answer_.text, "help.recall-text");
  option(answered, "--by", recall_answer_.by, "help.record-by");
  CLI::App* closed =
      verb(recalls, "close", "help.recall-close", [this](const Context& c) { return recall_close(c, recall_close_); });
  closed->add_option("recall", recall_close_.recall, say("help.recall-id"))->required();
  closed->add_option("--conclusion", recall_close_.conclusion, say("help.recall-conclusion"))->required();
  closed->add_option("--second", recall_close_.second, say("help.recall-second"))->required();
  closed->add_flag("--with-open", recall_close_.with_open, say("help.recall-with-open"));
}

void Tree::add_question_verbs() {
  CLI::App* traced = verb(app_, "trace", "help.trace", [this](const Context& c) { return trace_subject(c, trace_); });
  traced->add_option("subject", trace_.subject, say("help.trace-subject"))->required();
  option(traced, "--kind", trace_.kind, "help.trace-kind");
  numbers_options(traced, trace_.numbers);
  add_recall_verb();
  verb(app_, "exposure", "help.exposure", [](const Context& c) { return exposure(c); });
  CLI::App* found = verb(app_, "gaps", "help.gaps", [this](const Context& c) { return gaps(c, gaps_); });
  option(found, "--from", gaps_.from, "help.from");
  option(found, "--to", gaps_.to, "help.to");
  option(found, "--rule", gaps_.rule, "help.gaps-rule");
  option(found, "--severity", gaps_.severity, "help.gaps-severity");
  option(found, "--sop", gaps_.sop, "help.what-if");
  found->add_flag("--strict", gaps_.strict, say("help.gaps-strict"));
  found->add_flag("--cannot-tell", gaps_.cannot_tell, say("help.gaps-cannot-tell"));
  CLI::App* book = verb(app_, "report", "help.report", [this](const Context& c) { return report(c, report_); });
  option(book, "subject", report_.subject, "help.report-subject");
  option(book, "--kind", report_.kind, "help.trace-kind");
  option(book, "--from", report_.from, "help.from");
  option(book, "--to", report_.to, "help.to");
  book->add_option("-o,--output", report_.output, say("help.report-output"))->required();
  option(book, "--sop", report_.sop, "help.what-if");
  numbers_options(book, report_.numbers);
  add_evidence_verbs();
}

void Tree::add_evidence_verbs() {
  CLI::App* given =
      verb(app_, "evidence", "help.evidence", [this](const Context& c) { return evidence_pack(c, evidence_); });
  given->add_option("subject", evidence_.subject, say("help.evidence-subject"))->required();
  given->add_option("-o,--output", evidence_.output, say("help.evidence-output"))->required();
  option(given, "--kind", evidence_.kind, "help.trace-kind");
  given->add_flag("--whole", evidence_.whole, say("help.evidence-whole"));
  numbers_options(given, evidence_.numbers);
  CLI::App* checked = verb(app_, "check", "help.check", [this](const Context& c) { return check_pack(c, check_); });
  checked->add_option("file", check_.file, say("help.check-file"))->required();
  option(checked, "--ledger-key", check_.ledger_key, "help.check-key");
  option(checked, "--checkpoint", check_.checkpoint, "help.check-checkpoint");
}

void Tree::add_desk_verbs() {
  CLI::App* one = verb(app_, "serve", "help.serve", [this](const Context& c) { return serve(c, serve_); });
  one->footer(say("help.serve-footer"));
  one->add_option("--port", serve_.port, say("help.serve-port"))->check(CLI::Range(0, 65535));
  option(one, "--bind", serve_.bind, "help.serve-bind");
  option(one, "--host", serve_.hosts, "help.serve-host");
  option(one, "--tls-cert", serve_.tls_cert, "help.serve-tls-cert");
  option(one, "--tls-key", serve_.tls_key, "help.serve-tls-key");
  one->add_flag("--behind-proxy", serve_.behind_proxy, say("help.serve-behind-proxy"));
  one->add_flag("--routes", serve_.routes, say("help.serve-routes"));
  CLI::App* stations = app_.add_subcommand("station", say("help.station"));
  stations->require_subcommand(1);
  stations->fallthrough();
  CLI::App* added =
      verb(*stations, "add", "help.station-add", [this](const Context& c) { return station_add(c, station_); });
  added->add_option("label", station_.label, say("help.station-label"))->required();
  added->add_flag("--token", station_.token, say("help.station-token"));
  verb(*stations, "list", "help.station-list", [](const Context& c) { return station_list(c); });
  CLI::App* gone = verb(*stations, "remove", "help.station-remove",
                        [this](const Context& c) { return station_remove(c, station_gone_); });
  gone->add_option("label", station_gone_, say("help.station-label"))->required();
}

void Tree::add_import_verbs() {
  CLI::App* imports = app_.add_subcommand("import", say("help.import"));
  imports->require_subcommand(1);
  imports->fallthrough();
  CLI::App* one =
      verb(*imports, "curve", "help.import-curve", [this](const Context& c) { return import_curve(c, curve_); });
  one->add_option("files", curve_.files, say("help.import-files"))->required();
  option(one, "--equipment", curve_.equipment, "help.import-equipment");
  option(one, "--logger", curve_.logger, "help.import-logger");
  option(one, "--load", curve_.load, "help.import-load");
  option(one, "--encoding", curve_.encoding, "help.import-encoding");
  option(one, "--delimiter", curve_.delimiter, "help.import-delimiter");
  option(one, "--decimal", curve_.decimal, "help.import-decimal");
  option(one, "--date-order", curve_.date_order, "help.import-date-order");
  option(one, "--pressure", curve_.pressure, "help.import-pressure");
  option(one, "--zone", curve_.zone, "help.import-zone");
  option(one, "--start", curve_.start, "help.import-start");
  option(one, "--unit", curve_.units, "help.import-unit");
  option(one, "--profile", curve_.profile, "help.import-profile");
  option(one, "--save-profile", curve_.save_profile, "help.import-save-profile");
  option(one, "--plot", curve_.plot, "help.import-plot");
  one->add_flag("--dry-run", curve_.dry_run, say("help.import-dry-run"));
  CLI::App* placed =
      verb(*imports, "place", "help.import-place", [this](const Context& c) { return import_place(c, place_); });
  placed->add_option("curve", place_.curve, say("help.place-curve"))->required();
  placed->add_option("load", place_.load, say("help.place-load"))->required();
  option(placed, "--equipment", place_.equipment, "help.place-equipment");
  CLI::App* refused = verb(*imports, "refused", "help.import-refused",
                           [this](const Context& c) { return import_refused(c, refused_curve_); });
  refused->add_option("curve", refused_curve_, say("help.place-curve"))->required();
  verb(*imports, "waiting", "help.import-waiting", [](const Context& c) { return import_waiting(c); });
  CLI::App* again = verb(*imports, "rejudge", "help.import-rejudge",
                         [this](const Context& c) { return import_rejudge(c, rejudge_); });
  again->add_option("--logger", rejudge_.logger, say("help.rejudge-logger"))->required();
  again->add_option("--error-k", rejudge_.error_k, say("help.rejudge-error"))->required();
  option(again, "--from", rejudge_.from, "help.rejudge-from");
  option(again, "--to", rejudge_.to, "help.rejudge-to");
  again->add_flag("--dry-run", rejudge_.dry_run, say("help.rejudge-dry-run"));
  add_register_verb(*imports);
}

void Tree::add_register_verb(CLI::App& imports) {
  CLI::App* one =
      verb(imports, "register", "help.register", [this](const Context& c) { return import_register(c, register_); });
  one->footer(say("help.register-footer"));
  one->add_option("file", register_.file, say("help.register-file"))->required();
  one->add_option("--kind", register_.kind, say("help.register-kind"))->required();
  option(one, "--column", register_.columns, "help.register-column");
  option(one, "--fixed", register_.fixed, "help.register-fixed");
  option(one, "--word", register_.words, "help.register-word");
  option(one, "--empty", register_.empty, "help.register-empty");
  option(one, "--at", register_.at, "help.register-at");
  option(one, "--by", register_.by, "help.record-by");
  option(one, "--header-row", register_.header_row, "help.register-header-row");
  option(one, "--from-row", register_.from_row, "help.register-from-row");
  option(one, "--encoding", register_.encoding, "help.import-encoding");
  option(one, "--delimiter", register_.delimiter, "help.register-delimiter");
  option(one, "--decimal", register_.decimal, "help.import-decimal");
  option(one, "--date-order", register_.date_order, "help.import-date-order");
  option(one, "--zone", register_.zone, "help.import-zone");
  option(one, "--profile", register_.profile, "help.register-profile");
  option(one, "--save-profile", register_.save_profile, "help.register-save-profile");
  one->add_flag("--keep-good", register_.keep_good, say("help.record-keep-good"));
  one->add_flag("--dry-run", register_.dry_run, say("help.import-dry-run"));
}

void Tree::add_label_verb() {
  CLI::App* labels = verb(app_, "label", "help.label", [this](const Context& c) { return label_packs(c, label_); });
  labels->add_option("pack", label_.packs, say("help.label-packs"));
  option(labels, "--load", label_.load, "help.label-load");
  labels->add_option("-o,--output", label_.output, say("help.label-output"))->required();
  labels->add_flag("--single", label_.single, say("help.label-single"));
  labels->add_flag("--badges", label_.badges, say("help.label-badges"));
  verb(app_, "read-code", "help.read-code", [](const Context& c) { return read_code(c); });
}
void Tree::add_answer_verb() {
  CLI::App* asked =
      verb(app_, "answer", "help.answer", [this](const Context& c) { return answer_question(c, answer_); });
  asked->footer(say("help.answer-footer"));
  option(asked, "question", answer_.question, "help.answer-question");
  option(asked, "--from", answer_.from, "help.from");
  option(asked, "--to", answer_.to, "help.to");
  option(asked, "--sop", answer_.sop, "help.what-if");
  const std::pair<const char*, const char*> parameters[] = {{"procedure", "help.answer-subject"},
                                                            {"pack", "help.answer-subject"},
                                                            {"set", "help.answer-subject"},
                                                            {"load", "help.answer-subject"},
                                                            {"equipment", "help.answer-subject"},
                                                            {"procedures", "help.answer-procedures"},
                                                            {"sample", "help.answer-sample"},
                                                            {"seed", "help.answer-seed"},
                                                            {"hours", "help.answer-hours"},
                                                            {"on", "help.answer-on"},
                                                            {"id", "help.answer-id"},
                                                            {"key", "help.answer-key"},
                                                            {"measure", "help.answer-measure"}};
  for (const auto& [name, key] : parameters) {
    const std::string named = name;
    asked->add_option_function<std::string>(
        "--" + named, [this, named](const std::string& value) { answer_.given[named] = value; }, say(key));
  }
  asked->add_flag("--query", answer_.query, say("help.answer-query"));
  asked->add_flag("--all", answer_.all, say("help.answer-all"));
}

void Tree::add_solution_verbs() {
  CLI::App* mixed = verb(app_, "mix", "help.mix", [this](const Context& c) { return mix(c, mix_); });
  mixed->footer(say("help.mix-footer"));
  mixed->add_option("--agent", mix_.agent, say("help.mix-agent"))->required();
  option(mixed, "--stock-percent", mix_.stock_percent, "help.mix-stock-percent");
  option(mixed, "--available-percent", mix_.available_percent, "help.mix-available-percent");
  option(mixed, "--percent", mix_.percent, "help.mix-percent");
  option(mixed, "--volume-l", mix_.volume_l, "help.mix-volume-l");
  option(mixed, "--stock-ml", mix_.stock_ml, "help.mix-stock-ml");
  option(mixed, "--powder-g", mix_.powder_g, "help.mix-powder-g");
  option(mixed, "--water-ml", mix_.water_ml, "help.mix-water-ml");
}

}  // namespace

int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err) {
  const std::string asked = language_asked(argc, argv);
  const auto language = asked.empty() ? std::optional(Language::english) : language_of(asked);
  speak(language.value_or(Language::english));
  CLI::App app(say("help.program"), "trayproof");
  app.set_version_flag("--version", program_name());
  app.require_subcommand(1);
  app.fallthrough();
  Globals globals;
  if (const char* named = std::getenv("TRAYPROOF_LEDGER"); named != nullptr && *named != '\0') globals.ledger = named;
  app.add_option("--ledger", globals.ledger, say("help.ledger"));
  app.add_option("--as", globals.as, say("help.as"));
  app.add_option("--pin-fd", globals.pin_fd, say("help.pin-fd"));
  app.add_flag("--json", globals.json, say("help.json"));
  app.add_option("--language", globals.language, say("help.language", {{"tags", language_tags()}}));
  app.add_flag("--quiet", globals.quiet, say("help.quiet"));
  app.add_flag("--network-drive", globals.network_drive, say("help.network-drive"));
  const Tree tree(app);
  app.footer(say("help.footer"));  // after the verbs, which would take it over
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& found) {  // the library's way to end; help and version come this way too
    std::ostringstream told;
    const int status = app.exit(found, out, told);
    if (status != 0 && language && *language != Language::english)
      err << say("command.misread") << '\n';  // what follows is the library's, in English
    err << (status == 0 ? told.str() : without_numbers(told.str(), globals.ledger));
    return status == 0 ? 0 : static_cast<int>(Status::usage);
  }
  SystemClock clock;
  const Context context{.out = out,
                        .err = err,
                        .clock = clock,
                        .ledger_path = globals.ledger,
                        .json = globals.json,
                        .quiet = globals.quiet,
                        .terminal_columns = &out == &std::cout ? terminal_columns() : 0,
                        .watched = &err == &std::cerr && ::isatty(STDERR_FILENO) != 0,
                        .drives = globals.network_drive ? Drives::network_too : Drives::own,
                        .as = globals.as,
                        .pin_fd = globals.pin_fd};
  if (!language)
    return static_cast<int>(context.misused(say("command.language", {{"found", asked}, {"tags", language_tags()}})));
  if (const std::string notice = unreviewed_notice(); !notice.empty()) context.tell(notice);
  const Status status = tree.chosen()(context);
  out.flush();
  if (!out.good() && status == Status::done) {
    err << "trayproof: " << say("command.output-lost") << '\n';
    return static_cast<int>(Status::broken);
  }
  return static_cast<int>(status);
}

}  // namespace trayproof::command
