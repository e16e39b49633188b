// Who is enrolled, with which roles, and what rights these give. What anybody recorded is shown; rights come only of
// enrolments that somebody with the right to enrol signed, or that were made while nobody with it could sign in.
// docs/ledger-format.md, "Persons", is the authority.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/people/key_book.h"
#include "ledger/people/rights.h"
#include "ledger/store/ledger_file.h"

namespace trayproof::people {

struct Person {
  std::string id;
  std::string name;                // the stand-in of the name (hex)
  std::vector<std::string> roles;  // as recorded last
  std::int64_t enrolled = 0;       // seq of the entry that holds; 0 when they only left
  std::optional<DateTime> left;
  // What rights come of: the same, unless it was recorded without the right to enrol.
  std::vector<std::string> trusted_roles;
  bool trusted_left = false;
};

class Roster {
 public:
  static Result<Roster> read(store::LedgerFile& file, const KeyBook& keys);

  const std::vector<Person>& all() const { return persons_; }  // by id
  const Person* find(std::string_view id) const;
  // `roles` stands for the row's own where the SOP says who may.
  bool may(std::string_view person, Right right, std::span<const std::string> roles = {}) const;
  // Those who may and have a key in force, by id.
  std::vector<std::string> who_may(Right right, std::span<const std::string> roles = {}) const;

 private:
  std::vector<Person> persons_;
  std::vector<std::string> with_key_;
};

}  // namespace trayproof::people
