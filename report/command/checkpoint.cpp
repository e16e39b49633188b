#include "ledger/base/files.h"
#include "ledger/log/note.h"
#include "ledger/text/locale.h"
#include "ledger/witness.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/command/signatures.h"
#include "report/command/verbs.h"
#include "report/label/card.h"
#include "report/proof/signatures.h"

namespace trayproof::command {

using json::Value;

namespace {

struct Signed {
  std::string note;
  log::Checkpoint state;
  std::vector<log::SignatureFound> signatures;
  std::optional<std::size_t> added;  // by a witness's file
};

std::optional<label::Drawing> drawing_of(const std::string& file) {
  if (file.ends_with(".svg")) return label::Drawing::svg;
  if (file.ends_with(".png")) return label::Drawing::png;
  return std::nullopt;
}

Result<Signed> sign_or_take(Ledger& ledger, const CheckpointOptions& options) {
  Signed done;
  TRY_LET(auto known, witness_keys(options.witness_keys));
  if (options.witness) {
    TRY_LET(const auto given, read_checkpoint(*options.witness));
    auto taken = take_witness(ledger, given, known);
    if (!taken.ok()) return std::move(taken).error().during(*options.witness);
    done.note = taken.value().note;
    done.added = taken.value().added;
  } else {
    TRY_LET(done.note, ledger.sign_checkpoint());
  }
  TRY_LET(const auto note, log::parse_note(done.note));
  TRY_LET(done.state, log::parse_checkpoint(note));
  known.push_back(ledger.ledger_key());
  done.signatures = log::signatures_of(note, known);
  return done;
}

Result<void> draw_card(const Context& context, const Facility& facility, const Signed& signed_state,
                       const std::string& file) {
  const label::CheckpointCard card{.note = signed_state.note,
                                   .title = facility.title,
                                   .origin = signed_state.state.origin,
                                   .size = std::to_string(signed_state.state.head.size),
                                   .root = hex(signed_state.state.head.root),
                                   .drawn = time_here(facility.zone.local({context.clock.now().ms / 1000 * 1000}))};
  TRY_LET(const auto picture, label::draw(card, *drawing_of(file)));
  return write_new_file(file, picture, FileMode::shared);
}

Result<void> record_kept(const Context& context, Ledger& ledger, const Facility& facility, const log::Head& head,
                         const std::string& where) {
  Value event = Value::object();
  event.set("kind", "checkpoint-kept").set("at", format_date_time(facility.zone.local(context.clock.now())));
  event.set("by", ledger.actor()).set("size", head.size).set("root", hex(head.root)).set("where", where);
  AppendOptions append;
  append.giver = events::Giver::program;
  append.same_content_repeats = false;
  TRY_LET(const auto done, ledger.append({{0, std::move(event)}}, append));
  if (!done.refusals.empty()) return Error(ErrorCode::invalid, done.refusals.front().why).during("--kept");
  return {};
}

void print(const Context& context, const CheckpointOptions& options, const Signed& done, const Zone& zone) {
  const log::Head& head = done.state.head;
  const std::string size = std::to_string(head.size);
  if (context.json) {
    Value signatures = Value::list();
    for (const log::SignatureFound& one : done.signatures) signatures.push(proof::signature_json(one, zone));
    Value answer = Value::object();
    answer.set("origin", done.state.origin).set("size", head.size).set("root", hex(head.root)).set("note", done.note);
    answer.set("signatures", std::move(signatures));
    if (done.added) answer.set("added", static_cast<std::int64_t>(*done.added));
    context.print(answer);
    return;
  }
  if (done.added) {
    context.line(say(*done.added == 0 ? "checkpoint.witnessed-before" : "checkpoint.witnessed", {{"size", size}}));
    for (const log::SignatureFound& one : done.signatures) context.line("  " + proof::signature_line(one, zone));
  }
  if (options.output) context.line(say("command.checkpoint", {{"size", size}, {"file", *options.output}}));
  if (options.qr) context.line(say("checkpoint.drawn", {{"size", size}, {"file", *options.qr}}));
  if (!done.added && !options.output && !options.qr) context.out << done.note;
}

Result<Status> run(const Context& context, const CheckpointOptions& options) {
  if (options.output) TRY(can_be_made(*options.output));
  if (options.qr) TRY(can_be_made(*options.qr));
  if (options.qr && !drawing_of(*options.qr))
    return Error(ErrorCode::invalid, say("label.ending", {{"file", *options.qr}}));
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto done, sign_or_take(ledger, options));
  if (options.output) TRY(write_new_file(*options.output, as_bytes(done.note), FileMode::shared));
  if (options.qr) TRY(draw_card(context, facility, done, *options.qr));
  if (options.kept) TRY(record_kept(context, ledger, facility, done.state.head, *options.kept));
  print(context, options, done, facility.zone);
  return Status::done;
}

}  // namespace

Status checkpoint(const Context& context, const CheckpointOptions& options) {
  const auto done = run(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
