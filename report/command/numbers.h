// --numbers: patients' numbers in place of pseudonyms, for who is signed in with the right to read them. That reading
// is an event (`numbers-read`), on the disk before the first number is shown.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "report/command/context.h"

namespace trayproof::command {

struct NumbersOptions {
  bool numbers = false;
  std::optional<std::string> reason;  // why they are read
};

// Reading numbers writes an event, other looking does not.
store::Access access_for(const NumbersOptions& options);
// What is wrong with the options; nothing when they go together.
std::optional<std::string> misuse_of(const NumbersOptions& options);

// Denied without the right, before any work is done; nothing is asked when no numbers are.
Result<void> may_read(const Ledger& ledger, const NumbersOptions& options);

class Numbers {
 public:
  // None are shown.
  Numbers() = default;
  // Records the reading of what concerns {kind, id}. Denied without the right.
  static Result<Numbers> read(const Context& context, Ledger& ledger, const NumbersOptions& options,
                              std::string_view kind, std::string_view id);

  bool shown() const { return ledger_ != nullptr; }
  // The text with each pseudonym replaced that still has a number. An erased patient keeps the pseudonym.
  Result<std::string> in(std::string_view text);
  Result<void> put_into(std::string& text);
  Result<void> put_into(std::optional<std::string>& text);
  // The patient's number; nothing when none is shown, or there is none any more.
  Result<std::optional<std::string>> of(std::string_view pseudonym);
  // Every text of the document; `numbers` at its end tells which pseudonym each number stands for.
  Result<void> put_into(json::Value& document);

 private:
  Result<void> put_into_texts(json::Value& value);
  const Ledger* ledger_ = nullptr;
  std::map<std::string, std::string, std::less<>> found_;  // by pseudonym; those that were asked for and have one
};

// For files that hold numbers: nobody but their owner reads them.
void keep_to_owner(const std::string& file);

}  // namespace trayproof::command
