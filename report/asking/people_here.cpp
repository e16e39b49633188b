#include "report/asking/people_here.h"

#include <algorithm>

namespace trayproof {
namespace {

// ASCII letters only: scanners with another keyboard layout change no others.
std::string in_small_letters(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return out;
}

template <typename Means>
const PersonHere* only_one(const std::vector<PersonHere>& here, Means means) {
  const auto found = std::find_if(here.begin(), here.end(), means);
  if (found == here.end() || std::find_if(found + 1, here.end(), means) != here.end()) return nullptr;
  return &*found;
}

}  // namespace

Result<std::vector<PersonHere>> people_here(const Ledger& ledger) {
  TRY_LET(const auto book, ledger.key_book());
  TRY_LET(const auto roster, people::Roster::read(ledger.file(), book));
  std::vector<PersonHere> here;
  for (const people::Person& one : roster.all()) {
    if (one.left || one.enrolled == 0) continue;
    Digest stand_in{};
    std::optional<std::string> name;
    if (from_hex(one.name, stand_in)) {
      TRY_LET(name, ledger.text(stand_in));
    }
    here.push_back({.id = one.id,
                    .name = name.value_or(""),
                    .roles = one.roles,
                    .has_pin = book.in_force(one.id, "person") != nullptr});
  }
  return here;
}

std::string shown(const PersonHere& person) {
  return person.name.empty() ? person.id : person.name + " (" + person.id + ")";
}

const PersonHere* find_person(const std::vector<PersonHere>& here, std::string_view given) {
  if (given.empty()) return nullptr;
  const auto by_id = std::find_if(here.begin(), here.end(), [&](const PersonHere& one) { return one.id == given; });
  if (by_id != here.end()) return &*by_id;
  if (const auto* named = only_one(here, [&](const PersonHere& one) { return one.name == given; })) return named;
  const std::string small = in_small_letters(given);
  return only_one(here, [&](const PersonHere& one) { return in_small_letters(one.id) == small; });
}

}  // namespace trayproof
