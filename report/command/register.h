// The verbs of a district's register.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/command/context.h"
#include "report/register/postgres.h"

namespace trayproof::command {

struct RegisterOptions {
  std::string conninfo;  // of PostgreSQL, as libpq reads it
};

struct ReceiveOptions {
  std::vector<std::string> files;
  RegisterOptions at;
  std::string witness;                // file of the register's own key
  std::optional<std::string> output;  // of the answer to a single file
  bool later = false;                 // tables are derived another time
};
Status receive_parcels(const Context& context, const ReceiveOptions& options);

struct WitnessOptions {
  std::string file;
  std::string name;
};
Status register_witness(const Context& context, const WitnessOptions& options);
Status register_prepare(const Context& context, const RegisterOptions& options);
Status register_derive(const Context& context, const RegisterOptions& options);

struct QuestionOptions {
  RegisterOptions at;
  std::string question;
  std::string lot;
  std::string measure = "evidence";
  std::optional<std::string> from, to;
  std::optional<std::string> rule;
  std::optional<std::string> ledger;
  std::int64_t days = 30;
  std::optional<std::string> output;  // .csv, .xlsx or .svg
};
Status register_question(const Context& context, const QuestionOptions& options);
// The answers together as a workbook; `output` is given.
Status register_report(const Context& context, const QuestionOptions& options);

// That the tables of a ledger could not be worked out, which takes nothing back of what was taken in.
Error not_derived(const std::string& ledger, const Error& why);
// Opened, and of the schema that this program knows.
Result<registry::Connection> opened_register(const RegisterOptions& options);

}  // namespace trayproof::command
