// Verbs on curves after their import.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/reading/outcome.h"
#include "report/command/context.h"

namespace trayproof::command {

// "35 min ahead compared", "right": what a clock was against the load's times.
std::string clock_ahead(double offset_s);

Status import_waiting(const Context& context);

// The first of the rows that an export's import refused; `refused` is how many there are.
void print_refused_rows(const Context& context, const std::vector<reading::RefusedRow>& rows, std::int64_t refused);
Status import_refused(const Context& context, std::int64_t curve);

struct ImportRejudgeOptions {
  std::string logger;
  double error_k = 0;
  std::optional<std::string> from, to;
  bool dry_run = false;
};
Status import_rejudge(const Context& context, const ImportRejudgeOptions& options);

}  // namespace trayproof::command
