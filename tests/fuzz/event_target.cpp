#include "ledger/base/utf8.h"
#include "ledger/content.h"
#include "ledger/events/draft.h"
#include "ledger/line_reader.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// The members with the ledger's own between them, as the writer puts them together.
std::string put_together(const Rendered& rendered, const std::vector<std::string>& added) {
  std::string bytes = "{";
  std::size_t at = 0;
  const auto up_to = [&](std::size_t cut) {
    if (at == cut) return;
    const bool comma = rendered.members[at] == ',';
    if (bytes.size() > 1 && !comma) bytes += ',';
    bytes += std::string_view(rendered.members)
                 .substr(bytes.size() == 1 && comma ? at + 1 : at, cut - at - (bytes.size() == 1 && comma ? 1 : 0));
    at = cut;
  };
  for (std::size_t i = 0; i < added.size(); ++i) {
    up_to(rendered.cuts[i]);
    if (bytes.size() > 1) bytes += ',';
    bytes += "\"" + std::string(added_names[i]) + "\":" + added[i];
  }
  up_to(rendered.members.size());
  return bytes + "}";
}

void check_rendered(const ReadEvent& read) {
  if (!read.rendered) return;
  const std::vector<std::string> added = {"\"k\"", "\"p\"", "\"r\"", "7", "6", "\"s\"", "1"};
  json::Value event = read.reading.draft->event;
  for (std::size_t i = 0; i < added.size(); ++i) {
    auto value = json::parse(added[i]);
    event.set(added_names[i], std::move(value).value());
  }
  must_hold(put_together(*read.rendered, added) == json::canonical(event), "rendered as RFC 8785 says");
}

}  // namespace

// A line that is taken settles into one spelling: read again it is taken again, as the same bytes.
void event_line(std::string_view bytes) {
  for (const auto giver : {events::Giver::recorder, events::Giver::program}) {
    const ReadingRules rules{.giver = giver, .default_by = std::nullopt, .numbers = nullptr};
    const ReadEvent first = read_line(1, bytes, rules);
    must_hold(first.reading.draft.has_value() == first.reading.refusals.empty(), "taken or refused");
    for (const events::Refusal& one : first.reading.refusals)
      must_hold(!first_bad_utf8(one.why) && !first_bad_utf8(one.field), "a refusal is text");
    if (!first.reading.draft) continue;
    check_rendered(first);
    const std::string settled = json::canonical(first.reading.draft->event);
    const ReadEvent second = read_line(1, settled, rules);
    must_hold(second.reading.draft.has_value(), "what was settled is taken");
    must_hold(json::canonical(second.reading.draft->event) == settled, "settled once is settled");
    must_hold(second.content == first.content, "the same content");
    must_hold(second.reading.draft->at.instant == first.reading.draft->at.instant, "the same moment");
  }
}

}  // namespace trayproof::fuzz
