// Result<T>: a value, or an Error that says what was being done, what was found and what is allowed.
//
// Errors travel here only when an operation could not be done. Ugly input, broken rules and damaged records are plain
// data beside the value (refusals, findings, problems). See docs/architecture.md, "Errors".
//
// TRY and TRY_LET are statements, not expressions: an expression macro leaks what was already built in the same braces.
#pragma once

#include <string>
#include <utility>
#include <variant>

#include "ledger/base/check.h"

namespace trayproof {

// Codes are for callers that act differently; everything else is the sentence.
enum class ErrorCode {
  invalid,      // what was given cannot be taken
  missing,      // something named does not exist
  conflict,     // something is already there, or was changed by somebody else
  denied,       // not allowed
  corrupt,      // the record does not bear itself out
  unavailable,  // disk, lock, permission, library
  uncertain,    // it is not known whether the write is durable: reopen and verify
};

class [[nodiscard]] Error {
 public:
  Error(ErrorCode code, std::string sentence) : code_(code), sentence_(std::move(sentence)) {}
  ErrorCode code() const { return code_; }
  const std::string& sentence() const { return sentence_; }
  // Puts the context in front, so that messages read from the outside in.
  Error during(const std::string& what) && { return {code_, what + ": " + sentence_}; }

 private:
  ErrorCode code_;
  std::string sentence_;
};

template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::in_place_index<0>, std::move(value)) {}        // NOLINT: implicit by design
  Result(Error error) : held_(std::in_place_index<1>, std::move(error)) {}    // NOLINT: implicit by design
  bool ok() const { return held_.index() == 0; }
  T& value() & { CHECK(ok()); return std::get<0>(held_); }
  const T& value() const& { CHECK(ok()); return std::get<0>(held_); }
  T&& value() && { CHECK(ok()); return std::get<0>(std::move(held_)); }
  const Error& error() const& { CHECK(!ok()); return std::get<1>(held_); }
  Error&& error() && { CHECK(!ok()); return std::get<1>(std::move(held_)); }

 private:
  std::variant<T, Error> held_;
};

template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Error error) : held_(std::in_place_index<1>, std::move(error)) {}    // NOLINT: implicit by design
  bool ok() const { return held_.index() == 0; }
  const Error& error() const& { CHECK(!ok()); return std::get<1>(held_); }
  Error&& error() && { CHECK(!ok()); return std::get<1>(std::move(held_)); }

 private:
  std::variant<std::monostate, Error> held_;
};

}  // namespace trayproof

#define TRAYPROOF_JOIN_(a, b) a##b
#define TRAYPROOF_JOIN(a, b) TRAYPROOF_JOIN_(a, b)

// Returns the error of `call` from this function.
#define TRY(call)                                             \
  do {                                                        \
    auto try_result = (call);                                 \
    if (!try_result.ok()) return std::move(try_result).error(); \
  } while (false)

// Declares `declaration` with the value of `call`, or returns its error from this function.
#define TRY_LET(declaration, call) TRAYPROOF_TRY_LET(TRAYPROOF_JOIN(try_let_, __LINE__), declaration, call)
#define TRAYPROOF_TRY_LET(name, declaration, call)   \
  auto name = (call);                                \
  if (!name.ok()) return std::move(name).error();    \
  declaration = std::move(name).value()
