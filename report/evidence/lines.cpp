#include "report/evidence/lines.h"

#include "ledger/text/json.h"

namespace trayproof::evidence {

using json::Value;

std::string entry_line(const store::EntryView& entry) {
  // An entry that is no JSON is written as it stands; its key then cannot be told.
  const auto event = json::parse(entry.bytes);
  const std::string key(event.ok() ? event.value().text_at("key").value_or("") : "");
  return json::plain(Value::object()
                         .set("entry", entry.bytes)
                         .set("hash", hex(entry.hash))
                         .set("key", key)
                         .set("sig", hex(entry.sig))) +
         "\n";
}

std::string text_line(const store::KeptText& text) {
  return json::plain(
             Value::object().set("sha256", hex(text.stand_in)).set("salt", hex(text.salt)).set("text", text.text)) +
         "\n";
}

}  // namespace trayproof::evidence
