#include "report/proof/signatures.h"

#include "ledger/base/check.h"
#include "ledger/base/time.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::proof {

using json::Value;

namespace {

std::string_view state_of(const log::SignatureFound& signature) {
  switch (signature.standing) {
    case log::Standing::fits:
      return "fits";
    case log::Standing::differs:
      return "differs";
    case log::Standing::unchecked:
      return "unchecked";
    case log::Standing::other_key:
      return "other-key";
  }
  CHECK(false);
  return {};
}

std::optional<std::string> time_of(const log::SignatureFound& signature, const Zone& zone) {
  constexpr std::uint64_t last = 7'258'118'400;  // 2200-01-01, where the dates of a ledger end
  if (!signature.posix_seconds || *signature.posix_seconds >= last) return std::nullopt;
  return format_date_time(zone.local({static_cast<std::int64_t>(*signature.posix_seconds) * second_ms}));
}

}  // namespace

Value signature_json(const log::SignatureFound& signature, const Zone& zone) {
  const auto at = time_of(signature, zone);
  return Value::object()
      .set("name", signature.name)
      .set("id", signature.id)
      .set("state", state_of(signature))
      .set("at", at ? Value(*at) : Value());
}

std::string signature_line(const log::SignatureFound& signature, const Zone& zone) {
  const std::string state(state_of(signature));
  const auto at = time_of(signature, zone);
  if (at && signature.standing == log::Standing::fits)
    return say("checkpoint.cosigned", {{"name", signature.name}, {"at", written_here(*at)}});
  return say("checkpoint.signature-" + state, {{"name", signature.name}});
}

}  // namespace trayproof::proof
