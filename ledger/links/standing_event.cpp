#include "ledger/links/standing_event.h"

#include <algorithm>

#include "ledger/words/words.h"

namespace trayproof::links {
namespace {

bool in_envelope(std::string_view name) {
  return std::ranges::any_of(events::envelope(), [&](const events::Field& field) { return field.name == name; });
}

void add_ids(std::vector<Mention>& out, std::string_view thing, const json::Value& value, std::string_view field) {
  if (value.is_text()) out.push_back({thing, value.text(), field});
  if (!value.is_list()) return;
  for (const json::Value& one : value.items()) {
    if (one.is_text()) out.push_back({thing, one.text(), field});
  }
}

}  // namespace

Result<Entry> read_entry(std::int64_t seq, std::string_view bytes) {
  auto parsed = json::parse(bytes);
  if (!parsed.ok()) {
    return Error(ErrorCode::corrupt,
                 say("links.entry-unreadable", {{"seq", std::to_string(seq)}, {"found", parsed.error().sentence()}}));
  }
  Entry entry{seq, std::move(parsed).value(), {}};
  const auto kind = entry.fields.text_at("kind");
  if (!kind) return Error(ErrorCode::corrupt, say("links.entry-without-kind", {{"seq", std::to_string(seq)}}));
  entry.kind = *kind;
  return entry;
}

Taking taking_of(const json::Value& entry) {
  Taking taking;
  taking.recorded = entry.text_at("recorded").value_or("");
  if (const auto at = parse_date_time(taking.recorded)) taking.recorded_at = at->instant;
  taking.station = entry.text_at("station").value_or("");
  taking.key = entry.text_at("key").value_or("");
  if (const auto entered = entry.text_at("entered")) taking.entered = std::string(*entered);
  return taking;
}

std::optional<StandingEvent> standing_event(std::int64_t origin, std::int64_t seq, json::Value fields, Taking taking) {
  const auto name = fields.text_at("kind");
  const events::Kind* kind = name ? events::find_kind(*name) : nullptr;
  const auto at_text = fields.text_at("at");
  const auto at = at_text ? parse_date_time(*at_text) : std::nullopt;
  if (kind == nullptr || !at) return std::nullopt;
  StandingEvent event;
  event.origin = origin;
  event.seq = seq;
  event.kind = kind;
  event.at = *at;
  if (const auto precision = fields.text_at("precision")) {
    event.precision = parse_precision(*precision).value_or(Precision::second);
  }
  event.span = span_of(event.at, event.precision);
  event.fields = std::move(fields);
  event.taking = std::move(taking);
  return event;
}

std::vector<std::string> unknown_fields(const events::Kind& kind, const json::Value& fields) {
  std::vector<std::string> names;
  for (const json::Member& member : fields.members()) {
    if (kind.field(member.name) == nullptr && !in_envelope(member.name) && !events::is_added_by_ledger(member.name)) {
      names.push_back(member.name);
    }
  }
  return names;
}

std::vector<Mention> mentions_of(const events::Kind& kind, const json::Value& fields) {
  std::vector<Mention> out;
  if (const json::Value* by = fields.find("by")) add_ids(out, "person", *by, "by");
  for (const events::Field& field : kind.fields) {
    const json::Value* value = fields.find(field.name);
    if (value == nullptr) continue;
    if (const std::string_view thing = events::thing_of(field.name); !thing.empty()) {
      add_ids(out, thing, *value, field.name);
    } else if (field.name == "subject" && field.type == events::Type::subject) {
      const auto thing_named = value->text_at("kind");
      const auto id = value->text_at("id");
      if (thing_named && id) out.push_back({*thing_named, *id, field.name});
    } else if (field.name == "subject" && value->is_object()) {  // of recall-opened: fields as in an event
      for (const json::Member& member : value->members()) {
        const std::string_view inside = events::thing_of(member.name);
        if (!inside.empty()) add_ids(out, inside, member.value, field.name);
      }
    }
  }
  return out;
}

}  // namespace trayproof::links
