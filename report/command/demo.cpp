// The main job on an invented maternity unit, in a folder of its own: what a newcomer sees first. Every step is a verb
// that they can type themselves, and is shown as such.
#include <filesystem>
#include <functional>
#include <sstream>
#include <vector>

#include "ledger/base/files.h"
#include "ledger/words/words.h"
#include "report/command/demo_files.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

class Demo {
 public:
  Demo(const Context& context, std::string folder) : context_(context), folder_(std::move(folder)), here_(context) {
    here_.ledger_path = at("demo.trayproof");
  }

  Status run() {
    if (const Status made = make_files(); made != Status::done) return made;
    if (const Status recorded = take(month()); recorded != Status::done) return recorded;
    grew_ = subject_of("biological-positive-unanswered");
    air_ = subject_of("strip-and-curve-disagree");
    if (grew_.empty() || air_.empty()) return context_.fail(Error(ErrorCode::corrupt, say("demo.not-found")));
    if (const Status found = take(troubles()); found != Status::done) return found;
    if (context_.json) {
      context_.print(json::Value::object()
                         .set("folder", folder_)
                         .set("ledger", here_.ledger_path)
                         .set("grew", grew_)
                         .set("air", air_));
      return Status::done;
    }
    context_.line("");
    context_.line(say("demo.end", {{"ledger", here_.ledger_path}, {"folder", folder_}}));
    return Status::done;
  }

 private:
  std::string at(std::string_view name) const { return folder_ + "/" + std::string(name); }

  Status make_files() {
    std::error_code failed;
    const bool made = std::filesystem::create_directory(folder_, failed);
    if (failed)
      return context_.fail(
          Error(ErrorCode::unavailable, say("demo.no-folder", {{"folder", folder_}, {"why", failed.message()}})));
    if (!made) return context_.fail(Error(ErrorCode::invalid, say("demo.folder-exists", {{"folder", folder_}})));
    const auto put = [&](std::string_view name, std::string_view bytes) {
      return write_new_file(at(name), as_bytes(bytes), FileMode::shared);
    };
    if (auto events = put("events.jsonl", demo_events()); !events.ok()) return context_.fail(events.error());
    for (const DemoExport& one : demo_exports()) {
      if (auto written = put(one.file, one.bytes); !written.ok()) return context_.fail(written.error());
    }
    return Status::done;
  }

  Context told_to(std::ostream& out) const {
    return {.out = out,
            .err = context_.err,
            .clock = context_.clock,
            .ledger_path = here_.ledger_path,
            .json = true,
            .quiet = true};
  }

  // A verb, with the command as it would be typed.
  struct Step {
    std::string_view says;
    std::string typed;
    std::function<Status(const Context&)> verb;
  };

  // One after the other, to the first that is not done.
  Status take(const std::vector<Step>& steps) {
    for (const Step& step : steps) {
      std::ostringstream nobody;
      if (!context_.json) {
        context_.line("\n" + say(step.says));
        context_.line("  trayproof --ledger " + here_.ledger_path + " " + step.typed + "\n");
      }
      const Status status = step.verb(context_.json ? told_to(nobody) : here_);
      if (status != Status::done) return status;
    }
    return Status::done;
  }

  // The subject of the first finding of a rule.
  std::string subject_of(const std::string& rule) {
    std::ostringstream told;
    GapsOptions options;
    options.rule = rule;
    if (gaps(told_to(told), options) != Status::done) return {};
    const auto found = json::parse(told.str());
    if (!found.ok()) return {};
    const json::Value* list = found.value().find("gaps");
    if (list == nullptr || !list->is_list() || list->items().empty()) return {};
    const json::Value* subject = list->items().front().find("subject");
    return subject == nullptr ? std::string() : std::string(subject->text_at("id").value_or(""));
  }

  std::vector<Step> month() const {
    const std::string events = at("events.jsonl");
    std::vector<Step> steps = {
        {"demo.create", "create --name \"Oraveth Maternity Unit\" --zone Etc/GMT-5 --altitude-m 1180",
         [](const Context& c) {
           return create(
               c,
               {.name = "Oraveth Maternity Unit", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop = {}, .continues = {}});
         }},
        {"demo.record", "record --from " + events,
         [events](const Context& c) {
           RecordOptions options;
           options.from = events;
           return record(c, options);
         }},
    };
    for (const DemoExport& one : demo_exports()) {
      ImportCurveOptions options;
      options.files = {at(one.file)};
      options.equipment = std::string(one.equipment);
      options.logger = std::string(one.logger);
      steps.push_back({"demo.import",
                       "import curve " + options.files.front() + " --equipment " + *options.equipment + " --logger " +
                           *options.logger,
                       [options](const Context& c) { return import_curve(c, options); }});
    }
    return steps;
  }

  std::vector<Step> troubles() const {
    RecallOptions positive;
    positive.because = "biological-positive";
    positive.load = grew_;
    positive.open = "RC-1";
    GapsOptions disagree;
    disagree.rule = "strip-and-curve-disagree";
    ReportOptions book;
    book.from = "2026-10-01";
    book.to = "2026-11-03";
    book.output = at("october.xlsx");
    EvidenceOptions evidence;
    evidence.subject = "RC-1";
    evidence.output = at("recall.zip");
    return {
        {"demo.recall", "recall --because biological-positive --load " + grew_ + " --open RC-1",
         [positive](const Context& c) { return recall_reached(c, positive); }},
        {"demo.air", "gaps --rule strip-and-curve-disagree",
         [disagree](const Context& c) { return gaps(c, disagree); }},
        {"demo.report", "report --from 2026-10-01 --to 2026-11-03 -o " + book.output,
         [book](const Context& c) { return report(c, book); }},
        {"demo.evidence", "evidence RC-1 -o " + evidence.output,
         [evidence](const Context& c) { return evidence_pack(c, evidence); }},
        {"demo.verify", "verify --full", [](const Context& c) { return verify_record(c, {.full = true}); }},
    };
  }

  const Context& context_;
  std::string folder_;
  Context here_;            // on the demo's ledger
  std::string grew_, air_;  // ids of loads
};

}  // namespace

Status demo(const Context& context, const std::string& folder) { return Demo(context, folder).run(); }

}  // namespace trayproof::command
