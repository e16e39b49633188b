// erase: asks for the destruction of a patient's number, a text or a file. Numbers come by standard input.
#include <iostream>

#include "ledger/erasure.h"
#include "ledger/people/key_giver.h"
#include "ledger/words/words.h"
#include "report/command/erased.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

Result<std::string> pseudonym_of_input(const Ledger& ledger) {
  std::string number;
  std::getline(std::cin, number);
  if (!number.empty() && number.back() == '\r') number.pop_back();
  TRY_LET(const auto pseudonym, ledger.pseudonym_of(number));
  // Neither is the number shown: it may stand in somebody's terminal for long.
  if (!pseudonym) return Error(ErrorCode::missing, say("erase.number-unknown"));
  return *pseudonym;
}

Result<ErasureWish> wish_of(const EraseOptions& options, const Ledger& ledger) {
  ErasureWish wish;
  if (options.file) {
    wish.sort = Forgotten::attachment;
    wish.subject = *options.file;
  } else if (!options.text.empty()) {
    wish.sort = Forgotten::text;
    std::int64_t seq = 0;
    for (const char c : options.text[0]) {
      if (c < '0' || c > '9' || seq > 999'999'999)
        return Error(ErrorCode::invalid, say("erase.seq", {{"found", options.text[0]}}));
      seq = seq * 10 + (c - '0');
    }
    wish.of = seq;
    wish.field = options.text[1];
  } else if (options.pseudonym) {
    wish.subject = *options.pseudonym;
  } else {
    TRY_LET(wish.subject, pseudonym_of_input(ledger));
  }
  return wish;
}

std::string in_words(Forgotten sort) {
  switch (sort) {
    case Forgotten::patient:
      return say("erase.sort-patient");
    case Forgotten::text:
      return say("erase.sort-text");
    case Forgotten::attachment:
      return say("erase.sort-attachment");
  }
  return {};
}

Result<Status> ask(const Context& context, const EraseOptions& options, Ledger& ledger) {
  TRY(ledger.may(people::Right::erase, ledger.signer()));
  TRY(can_be_second(ledger, options.second));
  TRY_LET(auto wish, wish_of(options, ledger));
  TRY_LET(const auto facility, facility_of(ledger));
  wish.second = options.second;
  wish.at = format_date_time(facility.zone.local(context.clock.now()));
  TRY_LET(const auto seq, ask_for_erasure(ledger, wish, ledger.signer()));
  TRY_LET(const auto requests, erasure_requests(ledger));
  const ErasureRequest& request = requests.back();
  CHECK(request.seq == seq);
  TRY_LET(const auto holding, what_still_holds(ledger, request));
  TRY_LET(const auto keys, ledger.key_book());
  const bool given = people::has_key_from(keys, options.second, ledger.actor());
  if (context.json) {
    Value document = Value::object()
                         .set("seq", seq)
                         .set("sort", word(request.sort))
                         .set("subject", request.subject)
                         .set("second", options.second)
                         .set("second_has_key_from_asker", given);
    put_into(document, holding);
    context.print(document);
    return Status::done;
  }
  context.line(
      say("erase.asked", {{"sort", in_words(request.sort)}, {"seq", std::to_string(seq)}, {"second", options.second}}));
  if (given) context.line(say("erase.second-given", {{"second", options.second}, {"asker", ledger.actor()}}));
  print(context, holding);
  return Status::done;
}

}  // namespace

Status erase(const Context& context, const EraseOptions& options) {
  const int ways = (options.file ? 1 : 0) + (options.text.empty() ? 0 : 1) + (options.pseudonym ? 1 : 0);
  if (ways > 1) return context.misused(say("erase.one-of"));
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = ask(context, options, ledger.value());
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
