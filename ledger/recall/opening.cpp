#include "ledger/recall/opening.h"

#include "ledger/crypto/hash.h"

namespace trayproof::recall {

Result<Appended> open_recall(Ledger& ledger, const Answer& answer, const Opening& opening) {
  const std::string bytes = canonical(answer);
  const json::Value shown = to_json(answer, Timing::left_out);
  json::Value event = json::Value::object();
  event.set("kind", "recall-opened").set("at", format_date_time(answer.zone.local(ledger.clock().now())));
  event.set("by", opening.by.value_or(ledger.actor())).set("recall", opening.recall);
  for (const std::string_view name : {"because", "subject", "as_of", "known_at", "counts"})
    event.set(name, *shown.find(name));
  event.set("answer", hex(crypto::sha256(as_bytes(bytes))));
  if (opening.purpose == Purpose::drill) event.set("drill", true);
  TRY(ledger.attach(as_bytes(bytes)));
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  return ledger.append({{0, std::move(event)}}, options);
}

}  // namespace trayproof::recall
