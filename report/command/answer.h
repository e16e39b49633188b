// The assessor's questions on the command line.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "report/command/context.h"

namespace trayproof::command {

struct AnswerOptions {
  std::optional<std::string> question, from, to, sop;
  std::map<std::string, std::string> given;  // by the option's name
  bool query = false;                        // the query instead of the answer
  bool all = false;                          // every row
};
Status answer_question(const Context& context, const AnswerOptions& options);

}  // namespace trayproof::command
