#include "report/command/numbers.h"

#include <sys/stat.h>

#include "ledger/words/words.h"

namespace trayproof::command {

using json::Value;

store::Access access_for(const NumbersOptions& options) {
  return options.numbers ? store::Access::write : store::Access::read;
}

std::optional<std::string> misuse_of(const NumbersOptions& options) {
  if (options.numbers && !options.reason) return say("numbers.no-reason");
  if (!options.numbers && options.reason) return say("numbers.reason-alone");
  return std::nullopt;
}

Result<void> may_read(const Ledger& ledger, const NumbersOptions& options) {
  return options.numbers ? ledger.may(people::Right::read_numbers, ledger.signer()) : Result<void>();
}

Result<Numbers> Numbers::read(const Context& context, Ledger& ledger, const NumbersOptions& options,
                              std::string_view kind, std::string_view id) {
  Numbers numbers;
  if (!options.numbers) return numbers;
  TRY(may_read(ledger, options));
  TRY_LET(const auto facility, facility_of(ledger));
  Value event = Value::object();
  event.set("kind", "numbers-read").set("at", format_date_time(facility.zone.local(context.clock.now())));
  event.set("by", ledger.actor()).set("subject", Value::object().set("kind", kind).set("id", id));
  event.set("reason", options.reason.value_or(""));
  AppendOptions append;
  append.giver = events::Giver::program;
  append.same_content_repeats = false;
  TRY_LET(const auto done, ledger.append({{0, std::move(event)}}, append));
  if (!done.refusals.empty()) {
    const events::Refusal& first = done.refusals.front();
    return Error(ErrorCode::invalid, say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
  }
  context.tell(say("numbers.recorded", {{"seq", std::to_string(done.last)}}));
  numbers.ledger_ = &ledger;
  return numbers;
}

namespace {

constexpr std::size_t pseudonym_digits = 32;

bool is_digit(char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); }

}  // namespace

Result<std::optional<std::string>> Numbers::of(std::string_view pseudonym) {
  if (ledger_ == nullptr) return std::optional<std::string>{};
  auto known = found_.find(pseudonym);
  if (known == found_.end()) {
    TRY_LET(auto number, ledger_->patient_number(pseudonym));
    if (!number) return std::optional<std::string>{};
    known = found_.emplace(std::string(pseudonym), std::move(*number)).first;
  }
  return std::optional(known->second);
}

Result<std::string> Numbers::in(std::string_view text) {
  std::string out;
  std::size_t at = 0;
  while (at < text.size()) {
    std::size_t end = at;
    while (end < text.size() && is_digit(text[end])) ++end;
    const std::string_view word = text.substr(at, end - at);
    if (word.size() == pseudonym_digits) {
      TRY_LET(const auto number, of(word));
      out += number ? std::string_view(*number) : word;
    } else {
      out += word;
    }
    if (end < text.size()) out += text[end++];
    at = end;
  }
  return out;
}

Result<void> Numbers::put_into(std::string& text) {
  TRY_LET(text, in(text));
  return {};
}

Result<void> Numbers::put_into(std::optional<std::string>& text) { return text ? put_into(*text) : Result<void>(); }

Result<void> Numbers::put_into_texts(Value& value) {
  if (value.is_text()) {
    TRY_LET(value, in(value.text()));
  } else if (value.is_list()) {
    for (Value& item : value.items()) TRY(put_into_texts(item));
  } else if (value.is_object()) {
    for (json::Member& member : value.members()) TRY(put_into_texts(member.value));
  }
  return {};
}

Result<void> Numbers::put_into(Value& document) {
  if (!shown()) return {};
  TRY(put_into_texts(document));
  Value numbers = Value::object();
  for (const auto& [pseudonym, number] : found_) numbers.set(pseudonym, number);
  document.set("numbers", std::move(numbers));
  return {};
}

void keep_to_owner(const std::string& file) {
  ::chmod(file.c_str(), 0600);  // a drive without permissions (FAT) is as open as it is
}

}  // namespace trayproof::command
