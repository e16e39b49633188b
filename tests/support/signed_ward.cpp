#include "tests/support/signed_ward.h"

#include <cstdio>
#include <cstdlib>

#include "ledger/persons.h"

namespace trayproof::tests {
namespace {

constexpr crypto::StretchCost cheap{.passes = 1, .memory_kib = 8};
constexpr const char* pin = "483920";

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "signed ward: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

std::string enrolment(const std::string& person, const std::string& role) {
  return R"({"kind":"person-enrolled","at":"2026-10-05T08:00:00+05:00","by":"station-1","person":")" + person +
         R"(","name":"Invented )" + person + R"(","roles":[")" + role + R"("]})";
}

}  // namespace

SignedWard::SignedWard() {
  take(enrolment("mara", "steward") + "\n" + enrolment("noor", "quality"));
  for (const char* person : {"mara", "noor"}) {
    must(give_key(ledger(), {.person = person, .pin = pin, .signer = nullptr, .cost = cheap}));
  }
}

SignerPtr SignedWard::sign_in(const std::string& person) { return must(ledger().unlock(person, pin)); }
SignerPtr SignedWard::mara() { return sign_in("mara"); }
SignerPtr SignedWard::noor() { return sign_in("noor"); }

std::int64_t SignedWard::ask(const ErasureWish& wish) {
  ErasureWish whole = wish;
  if (whole.second.empty()) whole.second = "noor";
  if (whole.at.empty()) whole.at = format_date_time({clock().now(), 0});
  return must(ask_for_erasure(ledger(), whole, mara()));
}
std::int64_t SignedWard::ask_patient(const std::string& pseudonym) {
  return ask({.sort = Forgotten::patient, .subject = pseudonym, .of = 0, .field = {}, .second = {}, .at = {}});
}
std::int64_t SignedWard::ask_text(std::int64_t of, const std::string& field) {
  return ask({.sort = Forgotten::text, .subject = {}, .of = of, .field = field, .second = {}, .at = {}});
}
std::int64_t SignedWard::erase_patient(const std::string& pseudonym) {
  const std::int64_t asked = ask_patient(pseudonym);
  must(ledger().countersign(asked, noor()));
  return asked;
}

std::string delivery_line(const std::string& procedure, const std::string& more) {
  return R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":")" + procedure +
         R"(","sort":"delivery","place":"room","packs":[])" + more + "}";
}

}  // namespace trayproof::tests
