// What each event puts into the tables by itself, before it is tied to others.
#include "ledger/links/derivation.h"

namespace trayproof::links {
namespace {

void bind_text_at(store::Statement& statement, int parameter, const json::Value& fields, std::string_view name) {
  if (const auto text = fields.text_at(name)) {
    statement.bind_view(parameter, *text);
  } else {
    statement.bind_null(parameter);
  }
}

void bind_instant(store::Statement& statement, int parameter, const std::optional<Instant>& instant) {
  if (instant)
    statement.bind(parameter, instant->ms);
  else
    statement.bind_null(parameter);
}

}  // namespace

void Derivation::touch(const StandingEvent& event, const Mention& mention) {
  if (mention.thing == "pack") {
    touched_.packs.emplace(mention.id);
  } else if (mention.thing == "load") {
    touched_.loads.emplace(mention.id);
  } else if (mention.thing == "solution") {
    touched_.solutions.emplace(mention.id);
  } else if (mention.thing == "set") {
    touched_.touch_turns(std::string(mention.id), event.span.earliest.ms, event.span.latest.ms);
  } else if (mention.thing == "biological") {
    touched_.biologicals.emplace(mention.id);
  } else if (mention.thing == "recall") {
    touched_.recalls.emplace(mention.id);
  }
}

void Derivation::touch_more(const StandingEvent& event) {
  const std::string_view kind = event.kind->name;
  if (kind == "soaked" || kind == "soak-ended") {
    const auto set = event.fields.text_at("set");
    const auto solution = event.fields.text_at("solution").value_or("");
    if (set) touched_.touch_soaks(std::string(*set), std::string(solution), event.at.instant.ms);
  } else if (kind == "set-defined") {
    touched_.sets_defined.emplace(event.fields.text_at("set").value_or(""));
  } else if (kind == "supply-received") {
    touched_.lots.emplace(event.fields.text_at("lot").value_or(""));
  } else if (kind == "sop-adopted") {
    touched_.every_curve = true;
  } else if (kind == "curve-measured") {
    touched_.curves.insert(event.origin);
  } else if (kind == "curve-placed" || kind == "curve-judged") {
    if (const auto curve = event.fields.number_at("curve")) touched_.curves.insert(static_cast<std::int64_t>(*curve));
  }
}

Result<void> Derivation::put_rows(const StandingEvent& event) {
  const std::string_view kind = event.kind->name;
  if (kind == "procedure-done") return put_uses(event);
  if (kind == "indicator-read") return put_indicator(event);
  if (kind == "pack-stored" || kind == "pack-issued" || kind == "pack-opened" || kind == "pack-returned" ||
      kind == "pack-withdrawn") {
    return put_move(event);
  }
  return {};
}

Result<void> Derivation::put_uses(const StandingEvent& event) {
  const json::Value* packs = event.fields.find("packs");
  const auto procedure = event.fields.text_at("procedure");
  if (packs == nullptr || !packs->is_list() || !procedure) return {};
  const auto until_text = event.fields.text_at("until");
  const auto until = until_text ? parse_date_time(*until_text) : std::nullopt;
  const DateTime time = until.value_or(event.at);
  const Span span = span_of(time, event.precision);
  for (const json::Value& pack : packs->items()) {
    if (!pack.is_text()) continue;
    TRY_LET(auto* const row, statements_.at("INSERT INTO uses VALUES (?, ?, NULL, NULL, ?, ?, ?, ?, ?)"));
    row->bind_view(1, *procedure).bind_view(2, std::string_view(pack.text())).bind(3, event.origin).bind(4, event.seq);
    TRY(row->bind(5, time.instant.ms).bind(6, span.earliest.ms).bind(7, span.latest.ms).run());
  }
  return {};
}

Result<void> Derivation::put_move(const StandingEvent& event) {
  const auto pack = event.fields.text_at("pack");
  if (!pack) return {};
  TRY_LET(auto* const row,
          statements_.at("INSERT INTO pack_moves VALUES (?, ?, NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?, NULL)"));
  row->bind_view(1, *pack).bind_view(2, event.kind->name).bind(3, event.origin).bind(4, event.seq);
  row->bind(5, event.at.instant.ms).bind(6, event.span.earliest.ms).bind(7, event.span.latest.ms);
  bind_text_at(*row, 8, event.fields, "place");
  bind_text_at(*row, 9, event.fields, "state");
  bind_text_at(*row, 10, event.fields, "why_withdrawn");
  bind_instant(*row, 11, last_moment(event.fields.find("use_by"), event.precision, zone_));
  return row->run();
}

Result<void> Derivation::put_indicator(const StandingEvent& event) {
  TRY_LET(auto* const row, statements_.at("INSERT INTO indicators VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
  row->bind(1, event.origin).bind(2, event.seq);
  bind_text_at(*row, 3, event.fields, "load");
  bind_text_at(*row, 4, event.fields, "pack");
  row->bind(5, event.fields.text_at("load") ? 0 : 1);
  bind_text_at(*row, 6, event.fields, "lot");
  if (const auto type = event.fields.number_at("type")) {
    row->bind(7, static_cast<std::int64_t>(*type));
  } else {
    row->bind_null(7);
  }
  bind_text_at(*row, 8, event.fields, "where");
  bind_text_at(*row, 9, event.fields, "result");
  return row->bind(10, event.at.instant.ms).bind(11, event.span.earliest.ms).bind(12, event.span.latest.ms).run();
}

Result<void> Derivation::put_mention(const Mention& mention, const StandingEvent& event, std::int64_t seq, bool holds) {
  if (indexes_ == Indexes::there) {
    TRY_LET(
        auto* const thing,
        statements_.at("INSERT OR IGNORE INTO things VALUES (?1, replace(replace(replace(lower(?2), '0', 'o'), '1', "
                       "'l'), 'i', 'l'), ?2)"));
    TRY(thing->bind_view(1, mention.thing).bind_view(2, mention.id).run());
  }
  TRY_LET(auto* const row, statements_.at("INSERT INTO mentions VALUES (?, ?, ?, ?, ?, ?, ?)"));
  row->bind_view(1, mention.thing).bind_view(2, mention.id).bind(3, seq).bind(4, event.origin);
  return row->bind_view(5, event.kind->name).bind_view(6, mention.field).bind(7, holds ? 1 : 0).run();
}

Result<void> Derivation::put_unknown(std::int64_t seq, std::string_view kind, const json::Value& fields,
                                     json::Value what) {
  const auto at_text = fields.text_at("at");
  const auto at = at_text ? parse_date_time(*at_text) : std::nullopt;
  if (at && cut_.as_of && at->instant > *cut_.as_of) return {};
  TRY_LET(auto* const row, statements_.at("INSERT OR REPLACE INTO unknown_events VALUES (?, ?, ?, ?)"));
  const std::string text = json::canonical(what);
  row->bind(1, seq).bind(2, kind);
  bind_instant(*row, 3, at ? std::optional(at->instant) : std::nullopt);
  return row->bind(4, text).run();
}

}  // namespace trayproof::links
