// What recording pages have in common: the form of a kind with its refusals, and what stands in the register after it.
#pragma once

#include <string>

#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/kind_form.h"

namespace trayproof::desk {

// Missing where there is no kind of that name that a person records.
Result<const events::Kind*> kind_asked(const Asked& asked);

// Taken in the name of whoever is here; refused where no slip came with it.
Result<Appended> append_asked(Asked& asked, json::Value event);

struct FormPage {
  const events::Kind& kind;
  Fields values;
  events::Refusals refused = {};
  std::int64_t after = 0;  // the entry that was just recorded; 0: none
};
Result<Response> form_page(Asked& asked, const FormPage& form, int status = 200);

// What the entry says, with the ways to its correction, its second person and its label.
Result<markup::Markup> done_part(Asked& asked, std::int64_t seq);

}  // namespace trayproof::desk
