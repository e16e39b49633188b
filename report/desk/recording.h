// What recording pages have in common: the form of a kind with its refusals, and what stands in the register after it.
#pragma once

#include <string>
#include <vector>

#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/kind_form.h"

namespace trayproof::desk {

// Missing where there is no kind of that name that a person records.
Result<const events::Kind*> kind_asked(const Asked& asked);

// Taken in the name of whoever is here, all or none; refused where no slip came with one.
Result<Appended> append_asked(Asked& asked, std::vector<GivenEvent> events);

// What was just recorded.
struct JustNow {
  std::int64_t last = 0;  // its entry, of several the last; 0: nothing was
  std::int64_t count = 1;
  std::vector<std::string> twice = {};  // packs that were given twice and recorded once
};

struct FormPage {
  const events::Kind& kind;
  Fields values;
  events::Refusals refused = {};
  JustNow after = {};
  bool several = false;
};
Result<Response> form_page(Asked& asked, const FormPage& form, int status = 200);

// What the entry says, with the ways to its correction, its second person and its label.
Result<markup::Markup> done_part(Asked& asked, const JustNow& done);

}  // namespace trayproof::desk
