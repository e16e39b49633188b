// Who may do what: one table from which refusals, help and docs/operations.md come. Rights guard what this program does
// for a person: it reads numbers, destroys, restores, enrols. What happened in the ward is taken whoever enters it, and
// the gap rules judge it (docs/decisions/0016).
#pragma once

#include <span>
#include <string_view>

namespace trayproof::people {

enum class Right {
  enrol,         // enrol people, give them keys and PINs, end their enrolment
  retire_key,    // retire or rotate keys
  read_numbers,  // read patients' numbers
  erase,         // ask for the destruction of a number, a text or a file
  restore,       // put a backup in place
  adopt_sop,     // put an SOP edition in force
  confirm_sop,   // confirm one
  release,       // release a load
  correct,       // correct an entry
  close_recall,  // close a recall
};

enum class Without {
  refused,          // never without the right
  refused_staffed,  // the station may, as long as nobody who has the right can sign in
  taken,            // taken as a claim; the gap rules tell
};

struct RightRow {
  Right right;
  std::string_view name;                    // as the catalogue and the documents spell it
  std::span<const std::string_view> roles;  // empty: every enrolled person; of `release` the SOP's `release.roles`
  Without without;
};

std::span<const RightRow> rights();
const RightRow& row_of(Right right);

}  // namespace trayproof::people
