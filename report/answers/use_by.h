// Until when a pack may be used, as the rules `used-after-use-by` and `expired-on-shelf` have it (docs/gap-rules.md):
// the label it was stored with since its load, else what it was received with, else the end of its load and the shelf
// life of the SOP. As SQL over the derived tables and `limits`; what is given are SQL expressions.
#pragma once

#include <string>

namespace trayproof::answers {

struct ShelfLife {
  std::string pack;    // its id
  std::string load;    // its relevant load; NULL: none
  std::string moment;  // ms; the edition in force then gives the life
};

// In ms; NULL where it keeps until it is damaged, and where it cannot be told.
std::string use_by_sql(const ShelfLife& of);
// True where it keeps until it is damaged.
std::string keeps_sql(const ShelfLife& of);

}  // namespace trayproof::answers
