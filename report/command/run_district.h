// The verbs of a district's register and their options, as part of the tree in run.cpp.
#pragma once

#include <functional>

#include "report/command/register.h"

namespace CLI {
class App;
}

namespace trayproof::command {

using Action = std::function<Status(const Context&)>;

class DistrictVerbs {
 public:
  // `choose` is told what to do when a verb was given. Both outlive the parsing of the options.
  DistrictVerbs(CLI::App& app, std::function<void(Action)> choose);
  DistrictVerbs(const DistrictVerbs&) = delete;
  DistrictVerbs& operator=(const DistrictVerbs&) = delete;

 private:
  CLI::App* verb(CLI::App& parent, const std::string& name, const std::string& key, Action action);
  // The same behind `register`, with where the register is.
  CLI::App* asking(const std::string& name, const std::string& key, Action action);
  void registered(CLI::App* verb);
  CLI::App* question(const std::string& name, const std::string& key);
  void add_questions();

  std::function<void(Action)> choose_;
  CLI::App* district_ = nullptr;
  RegisterOptions at_;
  ReceiveOptions receive_;
  WitnessOptions witness_;
  QuestionOptions question_;
};

}  // namespace trayproof::command
