// The record itself: how large it is, its head and root, the last checkpoint with its code, verifying it now, and its
// keys; the same for programs, entries by pages included.
#include "ledger/base/desk_limits.h"
#include "ledger/erasure.h"
#include "ledger/log/cosignature.h"
#include "ledger/log/handed_on.h"
#include "ledger/log/note.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/evidence/lines.h"
#include "report/label/card.h"
#include "report/proof/signatures.h"
#include "report/proof/verification.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

struct Signed {
  std::string note;
  log::Checkpoint state;
  std::vector<log::SignatureFound> signatures;
};

Result<Signed> read_checkpoint(const Ledger& ledger, std::string note) {
  Signed out;
  TRY_LET(const auto parsed, log::parse_note(note));
  TRY_LET(out.state, log::parse_checkpoint(parsed));
  out.signatures = log::signatures_of(parsed, {ledger.ledger_key()});
  out.note = std::move(note);
  return out;
}

// The one kept last; nothing where none is.
Result<std::optional<Signed>> last_checkpoint(const Ledger& ledger) {
  TRY_LET(auto notes, ledger.checkpoints());
  if (notes.empty()) return std::optional<Signed>();
  TRY_LET(auto last, read_checkpoint(ledger, std::move(notes.back())));
  return std::optional<Signed>(std::move(last));
}

json::Value to_json(const Signed& checkpoint, const Zone& zone) {
  json::Value signatures = json::Value::list();
  for (const log::SignatureFound& one : checkpoint.signatures) signatures.push(proof::signature_json(one, zone));
  return json::Value::object()
      .set("origin", checkpoint.state.origin)
      .set("size", checkpoint.state.head.size)
      .set("root", hex(checkpoint.state.head.root))
      .set("note", checkpoint.note)
      .set("signatures", std::move(signatures));
}

Markup code(std::string_view text) { return markup::element("code", text); }

Markup checkpoint_part(const std::optional<Signed>& last, std::int64_t size, const Zone& zone) {
  Markup out = heading(say("desk.checkpoint-title"));
  out.add(paragraph(say("desk.checkpoint-how")));
  if (!last) return out.add(paragraph(say("desk.no-checkpoint")));
  Facts facts;
  facts.add("desk.fact-size", std::to_string(last->state.head.size));
  facts.add("desk.fact-since", std::to_string(size - static_cast<std::int64_t>(last->state.head.size)));
  facts.add("desk.fact-root", code(hex(last->state.head.root)));
  out.add(facts.markup());
  Element list("ul");
  for (const log::SignatureFound& one : last->signatures)
    list.inside(markup::element("li", proof::signature_line(one, zone)));
  out.add(list.markup());
  out.add(Element("img")
              .with("class", "qr")
              .with("src", "/ledger/checkpoint.svg")
              .with("alt", say("desk.checkpoint-code"))
              .markup());
  Element note("details");
  note.inside(markup::element("summary", say("desk.checkpoint-note"))).inside(markup::element("pre", last->note));
  return out.add(note.markup());
}

Result<Markup> keys_part(const Ledger& ledger, const Zone& zone) {
  TRY_LET(const auto book, ledger.key_book());
  Table table = Table::of({"desk.column-owner", "desk.fact-sort", "desk.column-since", "desk.column-state",
                           "desk.column-key", "desk.column-entries"});
  for (const people::KnownKey& key : book.all()) {
    const bool stolen = key.retired && key.retired->cause == "stolen";
    Markup state = key.retired ? mark(stolen ? "critical" : "minor", spelled(key.retired->cause))
                               : mark("plain", say("desk.key-in-force"));
    table.row({key.is_person() ? thing("person", key.owner) : Markup::text(key.owner), Markup::text(spelled(key.sort)),
               time_of(zone, key.added_at), state, code(key.public_key.substr(0, 16) + "…"), entry_links({key.added})});
  }
  Markup out = heading(say("desk.keys-title"));
  return out.add(table.markup());
}

Markup verification_part(const Verification& found, double seconds, const Zone& zone) {
  Markup out = heading(say("desk.verified-title"));
  const bool ok = found.problems.empty();
  out.add(Element("p")
              .with("role", "alert")
              .inside(mark(ok ? "plain" : "critical", say(ok ? "desk.holds" : "desk.holds-not")))
              .text(" " + say(proof::headline(found), {{"events", std::to_string(found.events)},
                                                       {"problems", std::to_string(found.problems.size())}}))
              .markup());
  Element list("ul");
  for (std::size_t i = 0; i < found.problems.size() && i < limits::desk_findings_shown; ++i) {
    const Problem& one = found.problems[i];
    list.inside(markup::element(
        "li", one.seq ? say("command.problem-seq", {{"seq", std::to_string(*one.seq)}, {"what", one.what}})
                      : say("command.problem", {{"what", one.what}})));
  }
  if (!ok) out.add(list.markup());
  Facts facts;
  facts.add("desk.fact-size", std::to_string(found.events));
  if (found.events > 0) {
    facts.add("desk.fact-head", code(hex(found.head)));
    facts.add("desk.fact-root", code(hex(found.root)));
  }
  std::string checked;
  for (const std::string& line : proof::checked_lines(found)) checked += (checked.empty() ? "" : " ") + line;
  if (!checked.empty()) facts.add("desk.fact-signatures", checked);
  facts.add("desk.fact-seconds", std::to_string(static_cast<std::int64_t>(seconds * 1000)) + " ms");
  out.add(facts.markup());
  bool outside = false;
  for (const CheckpointFound& one : found.checkpoint_states) {
    if (one.source != CheckpointFound::Source::outside) continue;
    outside = true;
    const bool holds = one.state == CheckpointFound::State::holds;
    out.add(
        Element("p")
            .inside(mark(holds ? "plain" : "critical", say(holds ? "desk.holds" : "desk.holds-not")))
            .text(" " + say("desk.outside", {{"size", std::to_string(one.head.size)}, {"state", proof::state_of(one)}}))
            .markup());
    if (one.loss && one.loss->confirmed) out.add(paragraph(proof::lost_line(one)));
    for (const log::SignatureFound& signature : one.signatures)
      out.add(paragraph(proof::signature_line(signature, zone)));
  }
  if (ok && !outside) out.add(paragraph(say("command.verify-limits")));
  return out;
}

Markup verify_form(const Frame& frame) {
  Element form = form_to("/ledger/verify", frame);
  form.inside(Element("label")
                  .inside(Element("input").with("type", "checkbox").with("name", "full").with("value", "yes"))
                  .text(" " + say("desk.verify-full")));
  Element outside("details");
  outside.inside(markup::element("summary", say("desk.verify-against")));
  outside.inside(Element("label")
                     .inside(markup::element("span", say("desk.verify-note")))
                     .inside(Element("textarea").with("name", "checkpoint").with("spellcheck", "false")));
  return form.inside(outside).inside(button(say("desk.do-verify"))).markup();
}

Result<Response> ledger_page(Asked& asked, const Markup& said) {
  TRY_LET(auto reader, asked.desk.record().reader());
  const Ledger& ledger = reader.ledger();
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto head, ledger.head());
  TRY_LET(const auto last, last_checkpoint(ledger));
  const Frame frame = frame_of(asked.who, say("desk.ledger-title"), "/ledger");
  Markup inside = said;
  Element figures("div");
  figures.with("class", "figures");
  figures.inside(
      Element("div").inside(markup::element("strong", std::to_string(head.seq))).text(say("desk.fact-size")));
  inside.add(figures.markup());
  Facts facts;
  facts.add("desk.fact-facility", facility.title);
  facts.add("desk.fact-origin", code(ledger.origin()));
  facts.add("desk.fact-head", code(hex(head.hash)));
  facts.add("desk.fact-vkey", code(log::vkey(ledger.ledger_key())));
  inside.add(facts.markup()).add(verify_form(frame)).add(checkpoint_part(last, head.seq, facility.zone));
  if (asked.who.level() == Who::pin) {
    Element form = form_to("/ledger/checkpoint", frame);
    inside.add(form.inside(button(say("desk.do-checkpoint"))).markup());
  }
  TRY_LET(const auto keys, keys_part(ledger, facility.zone));
  return page(frame, inside.add(keys));
}

struct Verified {
  Verification found;
  double seconds = 0;
};

// On one thread: whoever records meanwhile goes first.
Result<Verified> verify_now(Asked& asked, Record::Reader& reader, bool full, const std::string& outside) {
  VerifyOptions options{.depth = full ? Depth::full : Depth::usual, .threads = 1};
  if (!outside.empty()) {
    TRY_LET(const auto note, log::parse_note(outside));
    const auto checkpoint = log::parse_checkpoint(note);
    if (!checkpoint.ok()) return checkpoint.error();
    options.outside.push_back(outside);
  }
  const double began = asked.desk.clock().seconds();
  TRY_LET(auto found, proof::verify_all(reader.ledger(), options));
  return Verified{std::move(found), asked.desk.clock().seconds() - began};
}

// Signs as the station: a checkpoint is the ledger's word, not a person's.
Result<Signed> sign_now(Asked& asked) {
  std::optional<Signed> done;
  TRY(asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    TRY_LET(auto note, ledger.sign_checkpoint());
    TRY_LET(done, read_checkpoint(ledger, std::move(note)));
    return {};
  }));
  return std::move(*done);
}

std::optional<std::int64_t> number_of(const std::optional<std::string>& text) {
  constexpr std::size_t digits_max = 15;
  if (!text || text->size() > digits_max || text->find_first_not_of("0123456789") != std::string::npos)
    return std::nullopt;
  return std::stoll(*text);
}

}  // namespace

Result<Response> answer_ledger_page(Asked& asked) { return ledger_page(asked, {}); }

Result<Response> answer_verify_page(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  const std::string pasted(asked.form.filled("checkpoint").value_or(""));
  const auto done = verify_now(asked, reader, asked.form.filled("full").has_value(),
                               pasted.empty() ? std::string() : log::as_signed(pasted));
  if (!done.ok() && status_of(done.error().code()) < 500) return ledger_page(asked, alert(done.error().sentence()));
  if (!done.ok()) return done.error();
  return ledger_page(asked, verification_part(done.value().found, done.value().seconds, facility.zone));
}

Result<Response> answer_sign_checkpoint(Asked& asked) {
  TRY(sign_now(asked));
  return see_other("/ledger");
}

Result<Response> answer_checkpoint_picture(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto last, last_checkpoint(reader.ledger()));
  if (!last) return Error(ErrorCode::missing, say("desk.no-checkpoint"));
  const Instant now{asked.desk.clock().now().ms / second_ms * second_ms};
  const label::CheckpointCard card{.note = last->note,
                                   .title = facility.title,
                                   .origin = last->state.origin,
                                   .size = std::to_string(last->state.head.size),
                                   .root = hex(last->state.head.root),
                                   .drawn = format_date_time(facility.zone.local(now))};
  TRY_LET(const auto picture, label::draw(card, label::Drawing::svg));
  return Response{.type = "image/svg+xml", .body = std::string(picture.begin(), picture.end())};
}

Result<Response> answer_api_verify(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto done, verify_now(asked, reader, asked.query.filled("full").has_value(), {}));
  return json_response(proof::to_json(done.found, facility.zone, done.seconds));
}

Result<Response> answer_api_checkpoint(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto last, last_checkpoint(reader.ledger()));
  if (!last) return Error(ErrorCode::missing, say("desk.no-checkpoint"));
  return json_response(to_json(*last, facility.zone));
}

Result<Response> answer_api_sign_checkpoint(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  TRY_LET(const auto done, sign_now(asked));
  return json_response(to_json(done, facility.zone));
}

// Lines as `export` writes them, from a seq; the header Next-Seq says where the next page begins.
Result<Response> answer_api_export(Asked& asked) {
  const auto from = number_of(asked.query.filled("from").value_or("1"));
  const auto wanted = number_of(asked.query.filled("limit").value_or(std::to_string(limits::desk_entries_a_page)));
  if (!from || *from < 1 || !wanted || *wanted < 1) return Error(ErrorCode::invalid, say("desk.page-numbers"));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto head, reader.ledger().head());
  const std::int64_t until = std::min(head.seq, *from + std::min(*wanted, limits::desk_entries_a_page) - 1);
  Response response{.type = "application/x-ndjson"};
  std::int64_t next = *from;
  TRY(reader.ledger().scan(*from, until, [&](const store::EntryView& entry) -> Result<void> {
    response.body += evidence::entry_line(entry);
    next = entry.seq + 1;
    return {};
  }));
  if (next <= head.seq) response.headers.emplace_back("Next-Seq", std::to_string(next));
  return response;
}

}  // namespace trayproof::desk
