// A recall as work on the command line: show, answer, close.
#pragma once

#include <optional>
#include <string>

#include "report/command/context.h"

namespace trayproof::command {

Status recall_show(const Context& context, const std::string& recall);

struct RecallAnswerOptions {
  std::string recall, outcome;
  std::optional<std::string> packs, procedures;  // ids separated by commas
  std::optional<std::string> text;
  std::optional<std::string> by;  // who answered; without it who runs the program
};
Status recall_answer(const Context& context, const RecallAnswerOptions& options);

struct RecallCloseOptions {
  std::string recall, conclusion, second;
  bool with_open = false;  // although some are not answered
};
Status recall_close(const Context& context, const RecallCloseOptions& options);

}  // namespace trayproof::command
