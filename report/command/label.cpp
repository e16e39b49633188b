#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/command/verbs.h"
#include "report/label/badge.h"
#include "report/label/of_packs.h"

namespace trayproof::command {
namespace {

using json::Value;

std::optional<label::Drawing> drawing_of(const std::string& file) {
  if (file.ends_with(".pdf")) return label::Drawing::pdf;
  if (file.ends_with(".svg")) return label::Drawing::svg;
  if (file.ends_with(".png")) return label::Drawing::png;
  return std::nullopt;
}

label::Layout layout_for(const LabelOptions& options, std::size_t count, label::Drawing drawing) {
  const bool alone = options.single || (count == 1 && drawing != label::Drawing::pdf);
  return alone ? label::Layout::single : label::Layout::sheet;
}

// Writes the file and tells of it: `things` are what it shows, under the name `member`.
Result<Status> written(const Context& context, const LabelOptions& options, const Bytes& bytes, std::string_view member,
                       Value things) {
  const std::string count = std::to_string(things.items().size());
  TRY(write_new_file(options.output, bytes, FileMode::shared));
  if (context.json) {
    context.print(Value::object()
                      .set("file", options.output)
                      .set("sha256", hex(crypto::sha256(bytes)))
                      .set(member, std::move(things)));
    return Status::done;
  }
  context.line(say("label.written", {{"file", options.output}, {"count", count}}));
  return Status::done;
}

Result<Status> make_badges(const Context& context, Ledger& ledger, const LabelOptions& options,
                           label::Drawing drawing) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const Facility facility, facility_of(ledger));
  TRY_LET(const auto badges, label::badges_of(ledger, options.packs, facility.title));
  const auto layout = layout_for(options, badges.size(), drawing);
  TRY_LET(const auto bytes, label::draw(badges, layout, drawing, tables.last_at()));
  Value list = Value::list();
  for (const label::Badge& one : badges) list.push(Value::object().set("person", one.person));
  return written(context, options, bytes, "badges", std::move(list));
}

Result<Status> make(const Context& context, Ledger& ledger, const LabelOptions& options, label::Drawing drawing) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  std::vector<std::string> packs = options.packs;
  if (options.load) {
    TRY_LET(packs, label::packs_of_load(tables, *options.load));
  }
  TRY_LET(const Facility facility, facility_of(ledger));
  TRY_LET(const auto labels, label::labels_of(tables, packs, facility.title));
  const auto layout = layout_for(options, labels.size(), drawing);
  TRY_LET(const auto bytes, label::draw(labels, layout, drawing, tables.last_at()));
  Value list = Value::list();
  for (const label::PackLabel& one : labels) list.push(Value::object().set("pack", one.pack).set("code", one.code));
  return written(context, options, bytes, "labels", std::move(list));
}

}  // namespace

Status label_packs(const Context& context, const LabelOptions& options) {
  const auto drawing = drawing_of(options.output);
  if (!drawing) return context.misused(say("label.pack-ending", {{"file", options.output}}));
  const bool fits = options.badges ? !options.load : options.packs.empty() == options.load.has_value();
  if (!fits) return context.misused(say("label.pack-or-load"));
  if (const auto can = can_be_made(options.output); !can.ok()) return context.fail(can.error());
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  auto done = options.badges ? make_badges(context, ledger.value(), options, *drawing)
                             : make(context, ledger.value(), options, *drawing);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
