#include "report/command/run_district.h"

#include <CLI/CLI.hpp>
#include <cstdlib>

#include "ledger/words/words.h"

namespace trayproof::command {

CLI::App* DistrictVerbs::verb(CLI::App& parent, const std::string& name, const std::string& key, Action action) {
  CLI::App* added = parent.add_subcommand(name, say(key));
  added->fallthrough();
  added->callback([this, action = std::move(action)] { choose_(action); });
  return added;
}

void DistrictVerbs::registered(CLI::App* verb) {
  CLI::Option* at = verb->add_option("--register", at_.conninfo, say("help.receive-register"));
  const char* const usual = std::getenv("TRAYPROOF_REGISTER");
  if (usual != nullptr && *usual != '\0')
    at_.conninfo = usual;
  else
    at->required();
}

CLI::App* DistrictVerbs::asking(const std::string& name, const std::string& key, Action action) {
  CLI::App* added = verb(*district_, name, key, std::move(action));
  registered(added);
  return added;
}

DistrictVerbs::DistrictVerbs(CLI::App& app, std::function<void(Action)> choose) : choose_(std::move(choose)) {
  CLI::App* received = verb(app, "receive", "help.receive", [this](const Context& c) {
    receive_.at = at_;
    return receive_parcels(c, receive_);
  });
  received->add_option("file", receive_.files, say("help.receive-files"))->required();
  registered(received);
  received->add_option("--witness", receive_.witness, say("help.receive-witness"))->required();
  received->add_option("-o,--output", receive_.output, say("help.receive-output"));
  received->add_flag("--later", receive_.later, say("help.receive-later"));

  district_ = app.add_subcommand("register", say("help.district"));
  district_->require_subcommand(1);
  district_->fallthrough();
  asking("prepare", "help.district-prepare", [this](const Context& c) { return register_prepare(c, at_); });
  CLI::App* key = verb(*district_, "witness", "help.district-witness",
                       [this](const Context& c) { return register_witness(c, witness_); });
  key->add_option("file", witness_.file, say("help.district-witness-file"))->required();
  key->add_option("--name", witness_.name, say("help.district-witness-name"))->required();
  asking("derive", "help.district-derive", [this](const Context& c) { return register_derive(c, at_); });
  add_questions();
}

CLI::App* DistrictVerbs::question(const std::string& name, const std::string& key) {
  CLI::App* added = asking(name, key, [this, name](const Context& c) {
    question_.at = at_;
    question_.question = name;
    return register_question(c, question_);
  });
  added->add_option("-o,--output", question_.output, say("help.district-output"));
  return added;
}

void DistrictVerbs::add_questions() {
  question("facilities", "help.district-facilities");
  CLI::App* lot = question("lot", "help.district-lot");
  lot->add_option("lot", question_.lot, say("help.district-lot-id"))->required();
  CLI::App* coverage = question("coverage", "help.district-coverage");
  coverage->add_option("--measure", question_.measure, say("help.district-measure"));
  coverage->add_option("--from", question_.from, say("help.district-from"));
  coverage->add_option("--to", question_.to, say("help.district-to"));
  CLI::App* gaps = question("gaps", "help.district-gaps");
  gaps->add_option("--rule", question_.rule, say("help.district-rule"));
  CLI::App* silent = question("silent", "help.district-silent");
  silent->add_option("--days", question_.days, say("help.district-days"));
  CLI::App* sizes = question("sizes", "help.district-sizes");
  sizes->add_option("--of", question_.ledger, say("help.district-of"));
  question("apart", "help.district-apart");
  CLI::App* report = asking("report", "help.district-report", [this](const Context& c) {
    question_.at = at_;
    question_.question = "report";
    return register_report(c, question_);
  });
  report->add_option("-o,--output", question_.output, say("help.district-report-output"))->required();
  report->add_option("--from", question_.from, say("help.district-from"));
  report->add_option("--to", question_.to, say("help.district-to"));
  report->add_option("--days", question_.days, say("help.district-days"));
}

}  // namespace trayproof::command
