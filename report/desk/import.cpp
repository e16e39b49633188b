// A logger's file from a browser: handed in, read and judged without recording anything, shown with its curves, its
// refused rows and what has to be decided; recorded when somebody confirms it. In one step for programs.
#include <algorithm>

#include "importer/document.h"
#include "importer/evidence.h"
#include "importer/refused_row.h"
#include "importer/twins.h"
#include "ledger/base/desk_limits.h"
#include "ledger/base/utf8.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/picture/draw.h"
#include "report/picture/of_cycle.h"

namespace trayproof::desk {
namespace {

using importer::Import;
using markup::Element;
using markup::Markup;

constexpr std::string_view choice_names[] = {"encoding", "delimiter", "decimal",  "date-order",
                                             "zone",     "start",     "pressure", "unit"};

importer::Source source_of(const Fields& fields) {
  return {.equipment = fields.filled("equipment").value_or(""),
          .logger = fields.filled("logger"),
          .load = fields.filled("load")};
}

struct Chosen {
  importer::Choices choices;
  std::optional<std::string> misuse;
};
Chosen chosen_in(const Fields& fields) {
  Chosen out;
  out.choices = {.encoding = fields.filled("encoding"),
                 .delimiter = fields.filled("delimiter"),
                 .decimal = fields.filled("decimal"),
                 .date_order = fields.filled("date-order"),
                 .zone = fields.filled("zone"),
                 .start = fields.filled("start"),
                 .pressure = fields.filled("pressure"),
                 .units = {},
                 .profile = {}};
  for (const auto& [name, value] : fields.all()) {
    if (!name.starts_with("unit") || value.empty()) continue;
    const std::size_t equals = value.rfind('=');
    if (equals == std::string::npos || equals == 0) {
      out.misuse = say("command.unit-form", {{"found", value}});
      return out;
    }
    out.choices.units.emplace_back(value.substr(0, equals), value.substr(equals + 1));
  }
  out.misuse = importer::unknown_choice(out.choices);
  return out;
}

struct Read {
  Import import;
  bool repeated = false;
  std::string kept_elsewhere;  // of a repeated one: says for which other equipment it is kept
  bool empty = false;
  std::vector<picture::Curve> curves;
};

Result<Read> read(Record::Reader& reader, std::string_view bytes, const importer::Source& source,
                  const importer::Choices& choices) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  TRY_LET(const auto around, importer::surroundings(reader.ledger(), *tables, editions, source));
  Read out;
  out.import = importer::read_and_judge(as_bytes(bytes), choices, around);
  Import& import = out.import;
  out.empty = import.readings + import.marks == 0;
  if (import.asks.empty() && !out.empty && !import.from)
    import.asks.push_back({.what = "start", .choices = {}, .option = "--start"});
  TRY_LET(out.repeated, importer::is_repeated(*tables, import));
  if (out.repeated) {
    TRY_LET(out.kept_elsewhere, importer::take_kept_places(*tables, import, source.equipment));
    if (!out.kept_elsewhere.empty()) import.notes.push_back(out.kept_elsewhere);
  }
  if (!out.repeated) TRY(importer::find_twins(reader.ledger(), *tables, editions, source, import));
  if (import.asks.empty() && !out.empty) out.curves = picture::of_import(import, editions, tables->zone());
  return out;
}

Result<importer::Kept> keep(Asked& asked, Record::Reader& reader, const Read& found, std::string_view bytes,
                            const importer::Source& source) {
  TRY_LET(auto* tables, reader.tables());
  importer::Kept kept;
  TRY(asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    ledger.sign_in(asked.who.signer());
    auto done = importer::keep(ledger, *tables, found.import, as_bytes(bytes), source);
    ledger.sign_in(nullptr);
    if (!done.ok()) return done.error();
    kept = std::move(done).value();
    return {};
  }));
  return kept;
}

// Fields that go along from step to step.
void carry(Element& form, const Fields& fields) {
  for (const auto& [name, value] : fields.all()) {
    if (name == "csrf" || name == "slip" || value.empty()) continue;
    form.inside(Element("input").with("type", "hidden").with("name", name).with("value", value));
  }
}

// The readings that each answer would give stand side by side.
Markup asks_part(const Import& import, const std::string& address, const Fields& fields) {
  Element form = Element("form").with("method", "get").with("action", address);
  form.inside(heading(say("desk.import-asks")));
  for (std::size_t i = 0; i < import.asks.size(); ++i) {
    const importer::Ask& ask = import.asks[i];
    std::string name = ask.option.substr(ask.option.starts_with("--") ? 2 : 0);
    if (name == "unit") name += "-" + std::to_string(i);
    Element group("fieldset");
    group.inside(markup::element("legend", say("command.ask-" + ask.what)));
    if (ask.choices.empty()) group.inside(input({.label = say("desk.import-start"), .name = name, .type = "text"}));
    std::vector<Heading> heads = {{say("desk.import-choice")}};
    for (const json::Value& choice : ask.choices) {
      if (heads.size() > 1) break;
      for (const json::Member& member : choice.members()) {
        if (member.name != "value") heads.push_back({spelled(member.name)});
      }
    }
    Table table(heads);
    for (const json::Value& choice : ask.choices) {
      const std::string value(choice.text_at("value").value_or(""));
      std::vector<Markup> cells = {
          Element("label")
              .inside(
                  Element("input").with("type", "radio").with("name", name).with("value", value).with("required", ""))
              .text(" " + spelled(value))
              .markup()};
      for (const json::Member& member : choice.members()) {
        if (member.name == "value" || cells.size() >= heads.size()) continue;
        cells.push_back(Markup::text(member.value.is_text() ? member.value.text() : json::plain(member.value)));
      }
      table.row(cells);
    }
    if (!table.empty()) group.inside(table.markup());
    form.inside(group);
  }
  carry(form, fields);
  return form.inside(button(say("desk.import-read-again"))).markup();
}

Markup reading_part(const Import& import, const std::string& name) {
  const auto text = [&](std::string_view field) {
    const auto found = import.reading.text_at(field);
    return found ? std::string(*found) : std::string();
  };
  Facts facts;
  facts.add("desk.import-file", name);
  facts.add("desk.import-sha256", markup::element("code", hex(import.file)));
  facts.add("desk.import-rows",
            say("desk.import-counts",
                {{"rows", std::to_string(import.rows)},
                 {"readings", std::to_string(import.readings)},
                 {"marks", std::to_string(import.marks)},
                 {"refused", std::to_string(static_cast<std::int64_t>(import.refused.size()) + import.refused_more)}}));
  facts.add("desk.import-how", say("command.read-how", {{"encoding", text("encoding")},
                                                        {"delimiter", text("delimiter")},
                                                        {"decimal", text("decimal")},
                                                        {"order", text("date_order")},
                                                        {"zone", text("zone")}}));
  Markup out = facts.markup();
  Table channels = Table::of({"desk.import-channel", "desk.import-quantity", "desk.import-unit", "desk.import-least",
                              "desk.import-most", "desk.import-missing"});
  for (const importer::Channel& one : import.channels) {
    channels.row({Markup::text(one.name), Markup::text(one.quantity), Markup::text(one.unit),
                  Markup::text(one.min ? number_here(*one.min, 2) : ""),
                  Markup::text(one.max ? number_here(*one.max, 2) : ""), Markup::text(std::to_string(one.missing))});
  }
  if (!channels.empty()) out.add(channels.markup());
  for (const std::string& note : import.notes) out.add(paragraph(note, "quiet"));
  return out;
}

Markup refused_part(const Import& import) {
  if (import.refused.empty()) return {};
  Table table({{say("desk.import-line"), true},
               {say("desk.import-why")},
               {say("desk.import-mend")},
               {say("desk.import-text")}});
  constexpr std::size_t shown = 50;
  for (const importer::RefusedRow& one : import.refused) {
    if (table.size() >= shown) break;
    table.row({Markup::text(std::to_string(one.line)), Markup::text(importer::why_here(one)),
               Markup::text(importer::mend_here(one)), markup::element("code", shortened(one.text, 80))});
  }
  Element part("details");
  part.inside(markup::element(
      "summary", say("desk.import-refused", {{"count", std::to_string(static_cast<std::int64_t>(import.refused.size()) +
                                                                      import.refused_more)}})));
  return part.inside(table.markup()).markup();
}

Markup cycles_part(const Read& found, const Zone& zone) {
  Markup out;
  for (std::size_t i = 0; i < found.curves.size(); ++i) {
    Element figure("figure");
    figure.with("class", "measured");
    if (i < found.import.cycles.size()) {
      const importer::Cycle& cycle = found.import.cycles[i];
      Element says("p");
      says.with("class", "verdict");
      says.inside(mark(cycle.verdict == "reached"       ? "plain"
                       : cycle.verdict == "not-reached" ? "critical"
                                                        : "major",
                       spelled(cycle.verdict)));
      says.text(" ").inside(cycle.load ? thing("load", *cycle.load) : Markup::text(say("command.unplaced")));
      if (cycle.from) says.text(" ").inside(time_of(zone, *cycle.from));
      figure.inside(says);
      Element list("ul");
      for (const importer::Finding& one : cycle.findings) list.inside(markup::element("li", importer::sentence(one)));
      figure.inside(list);
    }
    out.add(figure.inside(picture::draw(found.curves[i])).markup());
  }
  return out;
}

Result<Markup> source_fields(Record::Reader& reader, const Fields& fields) {
  TRY_LET(auto* tables, reader.tables());
  Element machines("select");
  machines.with("name", "equipment").with("required", "");
  Element loggers("select");
  loggers.with("name", "logger");
  loggers.inside(Element("option").with("value", "").text(say("desk.import-no-logger")));
  const auto add = [&](Element& to, std::string_view id, std::string_view field) {
    Element one = Element("option").with("value", id);
    if (fields.filled(field) == std::string(id)) one.with("selected", "");
    to.inside(one.text(id));
  };
  TRY_LET(auto* rows,
          tables->statements().at("SELECT DISTINCT equipment, sort FROM equipment_registered ORDER BY equipment"));
  TRY(links::each_row(*rows, [&](store::Statement& row) {
    if (row.text(1) == "data-logger")
      add(loggers, row.text(0), "logger");
    else
      add(machines, row.text(0), "equipment");
  }));
  Markup out = Element("label").inside(markup::element("span", say("desk.fact-equipment"))).inside(machines).markup();
  out.add(Element("label").inside(markup::element("span", say("desk.import-logger"))).inside(loggers).markup());
  out.add(input({.label = say("desk.import-load"), .name = "load", .value = fields.filled("load").value_or("")}));
  return out;
}

Result<Response> upload_page(Asked& asked, const Markup& said, int status) {
  TRY_LET(auto reader, asked.desk.record().reader());
  const Frame frame = frame_of(asked.who, say("desk.import-title"), "/import");
  Markup inside = said;
  inside.add(paragraph(say("desk.import-how-to")));
  if (asked.who.level() < Who::name) return page(frame, inside.add(paragraph(say("desk.needs-name"))), status);
  TRY_LET(const auto source, source_fields(reader, asked.form));
  Element form = form_to("/import", frame);
  form.with("enctype", "multipart/form-data");
  form.inside(Element("label")
                  .inside(markup::element("span", say("desk.import-file")))
                  .inside(Element("input").with("type", "file").with("name", "file").with("required", "")));
  form.inside(source).inside(button(say("desk.import-do-read")));
  return page(frame, inside.add(form.markup()), status);
}

// The one file of a multipart form; null where there is none, or more.
const Part* file_of(const Request& request) {
  const Part* found = nullptr;
  for (const Part& part : request.parts) {
    if (part.file_name.empty()) continue;
    if (found != nullptr) return nullptr;
    found = &part;
  }
  return found == nullptr || found->bytes.empty() ? nullptr : found;
}

std::string query_of(const Fields& fields) {
  std::string out;
  const auto add = [&](std::string_view name) {
    if (const auto value = fields.filled(name))
      out += (out.empty() ? "?" : "&") + std::string(name) + "=" + encoded(*value);
  };
  for (const char* name : {"equipment", "logger", "load"}) add(name);
  for (const std::string_view name : choice_names) add(name);
  return out;
}

Result<Response> read_page(Asked& asked, const Fields& fields, const Markup& said, int status) {
  const std::string& token = asked.at("token");
  const auto held = asked.desk.held_files().find(token, asked.who.station, asked.desk.clock().seconds());
  if (held == nullptr) return upload_page(asked, alert(say("desk.import-gone")), 404);
  const Frame frame = frame_of(asked.who, say("desk.import-title"), "/import");
  const Chosen chosen = chosen_in(fields);
  if (chosen.misuse) return page(frame, alert(*chosen.misuse), 400);
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  const auto source = source_of(fields);
  const auto done = read(reader, held->bytes, source, chosen.choices);
  if (!done.ok() && status_of(done.error().code()) < 500)
    return upload_page(asked, alert(done.error().sentence()), status_of(done.error().code()));
  if (!done.ok()) return done.error();
  const Read& found = done.value();
  Markup inside = said;
  inside.add(reading_part(found.import, held->name)).add(refused_part(found.import));
  const std::string address = "/import/" + token;
  if (found.empty) return page(frame, inside.add(alert(say("command.import-empty", {{"file", held->name}}))), 422);
  if (!found.import.asks.empty()) return page(frame, inside.add(asks_part(found.import, address, fields)), status);
  inside.add(cycles_part(found, facility.zone));
  inside.add(heading(say("desk.import-confirm-title")));
  if (found.repeated) {
    const std::string& elsewhere = found.kept_elsewhere;
    return page(frame, inside.add(paragraph(elsewhere.empty() ? say("command.import-repeated") : elsewhere)), status);
  }
  Element form = form_to(address, frame);
  carry(form, fields);
  form.inside(paragraph(say("desk.import-confirm-how",
                            {{"equipment", source.equipment}, {"count", std::to_string(found.import.cycles.size())}})));
  return page(frame, inside.add(form.inside(button(say("desk.import-do-confirm"))).markup()), status);
}

}  // namespace

Result<Response> answer_import_page(Asked& asked) { return upload_page(asked, {}, 200); }

Result<Response> answer_import_handed_in(Asked& asked) {
  const Part* file = file_of(asked.request);
  if (file == nullptr) return upload_page(asked, alert(say("desk.import-no-file")), 400);
  const std::string token = asked.desk.held_files().hold(
      {.bytes = file->bytes, .name = shortened(file->file_name, 80), .station = asked.who.station},
      asked.desk.clock().seconds());
  return see_other("/import/" + token + query_of(asked.form));
}

Result<Response> answer_import_read(Asked& asked) { return read_page(asked, asked.query, {}, 200); }

Result<Response> answer_import_confirmed(Asked& asked) {
  const std::string& token = asked.at("token");
  const auto held = asked.desk.held_files().find(token, asked.who.station, asked.desk.clock().seconds());
  if (held == nullptr) return upload_page(asked, alert(say("desk.import-gone")), 404);
  const Chosen chosen = chosen_in(asked.form);
  const auto source = source_of(asked.form);
  if (source.equipment.empty()) return read_page(asked, asked.form, alert(say("command.import-equipment")), 400);
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto found, read(reader, held->bytes, source, chosen.choices));
  if (chosen.misuse || found.empty || found.repeated || !found.import.asks.empty())
    return read_page(asked, asked.form, {}, 422);
  TRY_LET(const auto kept, keep(asked, reader, found, held->bytes, source));
  if (!kept.refusals.empty()) {
    const events::Refusal& first = kept.refusals.front();
    return read_page(asked, asked.form,
                     alert(say("command.refused-field", {{"field", first.field}, {"why", first.why}})), 422);
  }
  asked.desk.held_files().drop(token);
  for (const importer::Cycle& cycle : found.import.cycles) {
    if (cycle.load) return see_other(address_of("load", *cycle.load));
  }
  return see_other("/entry/" + std::to_string(kept.first));
}

// As `import curve --json`; recorded with confirm=yes, and otherwise as with --dry-run.
Result<Response> answer_api_import(Asked& asked) {
  const Part* file = file_of(asked.request);
  if (file == nullptr) return Error(ErrorCode::invalid, say("desk.import-no-file"));
  const Chosen chosen = chosen_in(asked.form);
  if (chosen.misuse) return Error(ErrorCode::invalid, *chosen.misuse);
  const auto source = source_of(asked.form);
  const bool confirmed = asked.form.filled("confirm") == "yes";
  if (confirmed && source.equipment.empty()) return Error(ErrorCode::invalid, say("command.import-equipment"));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto found, read(reader, file->bytes, source, chosen.choices));
  if (!found.import.asks.empty() || found.empty)
    return json_response(importer::to_json(found.import, found.repeated), 422);
  if (confirmed && !found.repeated) {
    TRY_LET(const auto kept, keep(asked, reader, found, file->bytes, source));
    if (!kept.refusals.empty()) return Error(ErrorCode::invalid, kept.refusals.front().why);
    found.repeated = kept.repeated;
  }
  return json_response(importer::to_json(found.import, found.repeated));
}

}  // namespace trayproof::desk
