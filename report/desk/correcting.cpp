// An entry is corrected by another one: the form of its kind with what stands now, and why it is wrong.
#include "ledger/links/standing_event.h"
#include "ledger/links/trace.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/parts.h"
#include "report/desk/recording.h"
#include "report/desk/scanned.h"
#include "report/desk/suggestions.h"
#include "report/desk/unchanged.h"

namespace trayproof::desk {
namespace {

using json::Value;
using markup::element;
using markup::Element;
using markup::Markup;

// The event as it stands now, and the entry that a correction of it names.
struct Standing {
  std::int64_t of = 0;
  const events::Kind* kind = nullptr;
  Value event;
  std::string says;
  Shown shown;
};

Result<std::int64_t> latest_of(links::Links& tables, std::int64_t seq) {
  std::int64_t latest = seq;
  TRY_LET(auto rows, tables.database().prepare("SELECT max(c.seq) FROM corrections c WHERE c.origin = "
                                               "coalesce((SELECT origin FROM corrections WHERE seq = ?1), ?1)"));
  rows.bind(1, seq);
  TRY(links::each_row(rows, [&](const store::Statement& row) { latest = row.maybe_integer(0).value_or(seq); }));
  return latest;
}

Result<Standing> standing_at(Record::Reader& reader, std::int64_t seq) {
  TRY_LET(auto* tables, reader.tables());
  Standing out;
  TRY_LET(out.of, latest_of(*tables, seq));
  TRY_LET(const auto entry, reader.ledger().entry(out.of));
  TRY_LET(auto event, json::parse(entry.bytes));
  std::string kind(event.text_at("kind").value_or(""));
  if (kind == "corrected") {
    const Value* replacement = event.find("replacement");
    if (replacement == nullptr || !replacement->is_object())
      return Error(ErrorCode::invalid, say("form.corrected-away", {{"seq", std::to_string(out.of)}}));
    event = Value(*replacement);
    kind = event.text_at("kind").value_or("");
  }
  out.kind = events::find_kind(kind);
  if (out.kind == nullptr || !out.kind->correctable())
    return Error(ErrorCode::invalid, say("form.not-correctable", {{"kind", kind}}));
  out.says = links::sentence_of(reader.ledger(), kind, event);
  TRY_LET(const auto readable, with_texts(reader.ledger(), *out.kind, event));
  out.shown.values = fields_from(*out.kind, readable, tables->zone());
  out.shown.event = event_of(*out.kind, out.shown.values, tables->zone(), Instant{0});
  out.event = std::move(event);
  return out;
}

Result<Response> correction_page(Asked& asked, const Standing& standing, const Fields& values,
                                 const events::Refusals& refused) {
  Suggestions known;
  {
    TRY_LET(auto reader, asked.desk.record().reader());
    TRY_LET(auto* tables, reader.tables());
    TRY_LET(known, suggestions_for(*tables, *standing.kind));
  }
  const std::string address = "/correct/" + asked.at("seq");
  const Frame frame = frame_of(asked.who, say("form.correct-title", {{"seq", std::to_string(standing.of)}}), address);
  const KindForm shown{.kind = *standing.kind,
                       .values = values,
                       .refused = refused,
                       .known = known,
                       .kept = numbers_in(*standing.kind, standing.event)};
  Markup inside = refusals_of(shown);
  inside.add(element("p", standing.says)).add(paragraph(say("form.correct-how"), "quiet"));
  Element form = form_to(address, frame, Records::yes);
  form.with("class", "record");
  form.inside(
      Element("input").with("type", "hidden").with("name", "correction-of").with("value", std::to_string(standing.of)));
  const auto label_and = [](std::string_view id, std::string_view label, const Markup& field) {
    return Element("div")
        .with("class", "field")
        .inside(Element("label").with("for", id).text(label))
        .inside(field)
        .markup();
  };
  Element why("textarea");
  why.with("id", "f-correction-why").with("name", "correction-why").with("rows", "2").with("required", "required");
  why.with("data-first", "yes");
  form.inside(label_and("f-correction-why", label_of("correction-why"),
                        why.text(values.find("correction-why").value_or("")).markup()));
  Element second("input");
  second.with("id", "f-correction-second")
      .with("name", "correction-second")
      .with("type", "text")
      .with("autocomplete", "off");
  if (const auto named = values.filled("correction-second")) second.with("value", *named);
  form.inside(label_and("f-correction-second", label_of("correction-second"), second.markup()));
  Element never("input");
  never.with("type", "checkbox").with("name", "correction-never").with("value", "yes");
  form.inside(
      Element("label").with("class", "choice").inside(never).inside(element("span", say("form.correct-never"))));
  form.inside(heading(say("form.correct-instead")));
  form.inside(fields_of(shown));
  inside.add(form.inside(button(say("form.correct-record"))).markup());
  return page(frame, inside, refused.empty() ? 200 : 422);
}

// A refusal of the replacement is one of the form's own field; the correction's own fields have names of theirs.
events::Refusals as_fields(events::Refusals refused) {
  constexpr std::string_view front = "replacement.";
  for (events::Refusal& one : refused) {
    if (one.field.starts_with(front)) {
      one.field.erase(0, front.size());
    } else if (one.field == "why" || one.field == "second") {
      one.field.insert(0, "correction-");
    }
  }
  return refused;
}

}  // namespace

Result<Response> answer_correct_page(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto standing, standing_at(reader, seq_in(asked.at("seq"))));
  return correction_page(asked, standing, standing.shown.values, {});
}

Result<Response> answer_correct(Asked& asked) {
  Standing standing;
  Value event;
  {
    TRY_LET(auto reader, asked.desk.record().reader());
    TRY_LET(standing, standing_at(reader, seq_in(asked.at("seq"))));
    // What the form showed is no longer what stands: nobody is corrected without being read.
    if (const auto of = asked.form.filled("correction-of"); of && seq_in(*of) != standing.of)
      return Error(ErrorCode::conflict, say("form.corrected-meanwhile", {{"seq", std::to_string(standing.of)}}));
    TRY_LET(auto* tables, reader.tables());
    TRY_LET(auto read, read_scanned(*tables, *standing.kind, asked.form));
    asked.form = std::move(read.fields);
    if (!read.refused.empty()) return correction_page(asked, standing, asked.form, read.refused);
    const Instant now = asked.desk.clock().now();
    Value replacement = event_of(*standing.kind, asked.form, tables->zone(), now);
    for (const char* name : {"slip", "entered"}) replacement.erase(name);
    keep_unchanged(replacement, *standing.kind, standing.event, standing.shown, asked.form);
    if (!replacement.text_at("by")) replacement.set("by", standing.event.text_at("by").value_or(""));
    const bool never = asked.form.filled("correction-never").has_value();
    event = Value::object()
                .set("kind", "corrected")
                .set("at", format_date_time(tables->zone().local({now.ms / 1000 * 1000})))
                .set("of", standing.of)
                .set("replacement", never ? Value() : std::move(replacement));
  }
  if (const auto why = asked.form.filled("correction-why")) event.set("why", *why);
  if (const auto second = asked.form.filled("correction-second")) event.set("second", *second);
  if (const auto slip = asked.form.filled("slip")) event.set("slip", *slip);
  TRY_LET(auto done, append_asked(asked, {{.line = 0, .event = std::move(event)}}));
  if (!done.refusals.empty()) {
    return correction_page(asked, standing, asked.form,
                           with_commas_told(as_fields(std::move(done.refusals)), *standing.kind, asked.form));
  }
  return see_other("/entry/" + std::to_string(done.last));
}

}  // namespace trayproof::desk
