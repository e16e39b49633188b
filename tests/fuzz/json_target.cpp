#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/text/json.h"
#include "ledger/text/json_canonical.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {

// The fast way and the careful one say the same, and what is read has one canonical spelling, which reads as the
// same value; so do the spellings for people. What the pass over the bytes calls canonical is.
void json_reader(std::string_view bytes) {
  const auto value = json::parse(bytes);
  const auto careful = json::parse_carefully(bytes);
  must_hold(value.ok() == careful.ok(), "both ways take the same");
  must_hold(!value.ok() || json::plain(value.value()) == json::plain(careful.value()), "both ways read the same");
  json::CanonicalObject object;
  if (object.read(bytes)) {
    must_hold(value.ok() && value.value().is_object(), "what is called a canonical object is one");
    must_hold(json::canonical(value.value()) == bytes, "in its canonical spelling");
    for (const json::Member& member : value.value().members()) {
      must_hold(object.text_at(member.name) == value.value().text_at(member.name), "with the same texts");
      must_hold(object.number_at(member.name) == value.value().number_at(member.name), "and the same numbers");
    }
  }
  if (!value.ok()) {
    must_hold(!first_bad_utf8(value.error().sentence()), "a refusal is text");
    return;
  }
  const std::string canonical = json::canonical(value.value());
  const bool rare = canonical.find('\\') != std::string::npos || canonical.find("e-") != std::string::npos;
  must_hold(rare || !value.value().is_object() || object.read(canonical), "what is plain and canonical is called so");
  must_hold(!first_bad_utf8(canonical), "canonical bytes are text");
  for (const std::string& spelling : {canonical, json::plain(value.value()), json::indented(value.value())}) {
    const auto again = json::parse(spelling);
    must_hold(again.ok(), "what was written is read");
    must_hold(again.value() == value.value(), "what was written reads as the same");
    must_hold(json::canonical(again.value()) == canonical, "one canonical spelling");
  }
  const auto shallow = json::parse(bytes, limits::depth);
  must_hold(!shallow.ok() || json::canonical(shallow.value()) == canonical, "a limit of depth changes nothing");
}

}  // namespace trayproof::fuzz
