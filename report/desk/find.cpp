// From what somebody typed or scanned to the page about it. What the search box sends never stands in an address, since
// it may be a patient's number; those are looked up only for who may read them, and that is an entry of the record.
#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/label/of_packs.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;
using store::Statement;

constexpr const char* kinds[] = {"pack", "load",      "procedure", "set",   "solution",
                                 "lot",  "equipment", "person",    "recall"};

struct Hit {
  std::string kind, id;
  bool operator==(const Hit&) const = default;
};

std::string in_capitals(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
  return text;
}

class Search {
 public:
  explicit Search(links::Links& tables) : tables_(tables) {}

  // Things of exactly that id; else of it in capitals, as scanners and hurried hands leave them.
  Result<std::vector<Hit>> exact(const std::string& id) {
    TRY_LET(auto hits, named(id));
    if (hits.empty() && in_capitals(id) != id) {
      TRY_LET(hits, named(in_capitals(id)));
    }
    return hits;
  }

  // Things whose id begins with it, some of each kind.
  Result<std::vector<Hit>> beginning(const std::string& text) {
    std::vector<Hit> hits;
    for (const std::string& start : {text, in_capitals(text)}) {
      for (const char* kind : kinds) {
        TRY_LET(auto* rows,
                tables_.statements().at("SELECT DISTINCT id FROM mentions WHERE thing = ?1 AND id >= ?2 AND "
                                        "id < ?3 ORDER BY id LIMIT ?4"));
        rows->bind(1, kind)
            .bind(2, start)
            .bind(3, start + "\xF4\x8F\xBF\xBF")
            .bind(4, static_cast<std::int64_t>(limits::desk_due_lines));
        TRY(links::each_row(*rows, [&](Statement& row) {
          Hit hit{kind, std::string(row.text(0))};
          if (std::find(hits.begin(), hits.end(), hit) == hits.end()) hits.push_back(std::move(hit));
        }));
      }
    }
    return hits;
  }

 private:
  Result<std::vector<Hit>> named(const std::string& id) {
    std::vector<Hit> hits;
    for (const char* kind : kinds) {
      TRY_LET(auto* rows, tables_.statements().at("SELECT 1 FROM mentions WHERE thing = ?1 AND id = ?2 LIMIT 1"));
      rows->bind(1, kind).bind(2, id);
      TRY(links::first_row(*rows, [&](Statement&) { hits.push_back({kind, id}); }));
    }
    return hits;
  }

  links::Links& tables_;
};

Markup hits_part(const std::vector<Hit>& hits) {
  Table table = Table::of({"desk.column-kind", "desk.column-thing"});
  for (const Hit& one : hits) table.row({Markup::text(say("desk.kind-" + one.kind)), thing(one.kind, one.id)});
  return table.markup();
}

// "#1234": an entry.
std::optional<std::string> entry_address(std::string_view text) {
  if (!text.starts_with('#')) return std::nullopt;
  text.remove_prefix(1);
  if (text.empty() || text.find_first_not_of("0123456789") != std::string_view::npos) return std::nullopt;
  return "/entry/" + std::string(text);
}

// The uses of a patient, for who may know: recorded first, then shown.
Result<std::optional<Markup>> of_patient(Asked& asked, Record::Reader& reader, const std::string& number) {
  const auto& signer = asked.who.signer();
  if (!signer || !reader.ledger().may(people::Right::read_numbers, signer).ok()) return std::optional<Markup>();
  TRY_LET(const auto pseudonym, reader.ledger().pseudonym_of(number));
  if (!pseudonym) return std::optional<Markup>();
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  json::Value event = json::Value::object();
  event.set("kind", "numbers-read").set("at", format_date_time(facility.zone.local(asked.desk.clock().now())));
  event.set("by", signer->person).set("subject", json::Value::object().set("kind", "patient").set("id", *pseudonym));
  event.set("reason", say("desk.reason-searched"));
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = signer;
  TRY_LET(const auto done, asked.desk.record().append({{0, std::move(event), {}}}, options));
  if (!done.refusals.empty()) return Error(ErrorCode::invalid, done.refusals.front().why);
  TRY_LET(auto* tables, reader.tables());
  Table table = Table::of({"desk.column-use", "desk.column-at", "desk.column-place"});
  TRY_LET(auto* rows,
          tables->statements().at("SELECT procedure, at_ms, place FROM procedure_done WHERE patient = ?1 OR "
                                  "instr(newborns, ?1) > 0 ORDER BY at_ms DESC"));
  rows->bind(1, *pseudonym);
  TRY(links::each_row(*rows, [&](Statement& row) {
    table.row({thing("procedure", row.text(0)), time_of(tables->zone(), {row.integer(1)}), Markup::text(row.text(2))});
  }));
  Markup out = paragraph(say("desk.find-patient", {{"seq", std::to_string(done.last)}}));
  return std::optional<Markup>(out.add(table.markup()));
}

Result<Response> find(Asked& asked, const std::string& what) {
  const Frame frame = frame_of(asked.who, say("desk.find-title"), "/find");
  if (what.empty()) return page(frame, paragraph(say("desk.find-how")));
  if (what.size() > limits::id_code_points * 4) return page(frame, alert(say("desk.find-nothing")), 404);
  if (const auto address = entry_address(what)) return see_other(*address);
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  Search search(*tables);
  TRY_LET(auto hits, search.exact(what));
  if (hits.empty()) {
    TRY_LET(const auto pack, label::pack_of_code(*tables, what));
    if (pack) hits.push_back({"pack", *pack});
  }
  if (hits.size() == 1) return see_other(address_of(hits.front().kind, hits.front().id));
  if (hits.empty() && asked.request.head.method == "POST") {
    TRY_LET(const auto patient, of_patient(asked, reader, what));
    if (patient) return page(frame, *patient);
  }
  if (hits.empty()) {
    TRY_LET(hits, search.beginning(what));
  }
  if (hits.empty()) {
    Markup inside = alert(say("desk.find-nothing"));
    return page(frame, inside.add(paragraph(say("desk.find-patients-how"), "quiet")), 404);
  }
  return page(frame, hits_part(hits));
}

}  // namespace

Result<Response> answer_find_page(Asked& asked) {
  return find(asked, std::string(trimmed(asked.query.find("q").value_or(""))));
}

Result<Response> answer_find(Asked& asked) {
  return find(asked, std::string(trimmed(asked.form.find("q").value_or(""))));
}

}  // namespace trayproof::desk
