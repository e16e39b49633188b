// The editions of the facility's SOP on the command line: adopt, compare, confirm, list.
#pragma once

#include <optional>
#include <string>

#include "report/command/context.h"

namespace trayproof::command {

struct SopAdoptOptions {
  std::string file;
  std::optional<std::string> in_force;
};
Status sop_adopt(const Context& context, const SopAdoptOptions& options);

struct SopCompareOptions {
  std::string file;
  std::optional<std::string> other;  // without it the edition in force is compared with the file
};
Status sop_compare(const Context& context, const SopCompareOptions& options);

struct SopConfirmOptions {
  std::string file;  // or the seq of its sop-adopted
  std::optional<std::string> second;
};
Status sop_confirm(const Context& context, const SopConfirmOptions& options);
Status sop_list(const Context& context);

}  // namespace trayproof::command
