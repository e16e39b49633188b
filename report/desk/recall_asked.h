// What a recall is asked about, from the fields of a form or a query, under the names of the command line.
#pragma once

#include <span>
#include <string_view>

#include "ledger/base/zone.h"
#include "ledger/recall/request.h"
#include "report/desk/fields.h"

namespace trayproof::desk {

struct Trigger {
  recall::Because because;
  std::vector<std::string_view> fields;  // that its form asks for
};
std::span<const Trigger> triggers();

// Invalid: no such trigger, or a time that cannot be read. Whether it is complete is another question.
Result<recall::Request> recall_request(const Fields& fields, const Zone& zone);

}  // namespace trayproof::desk
