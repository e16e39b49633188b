#include "report/desk/scanned.h"

#include "ledger/words/words.h"
#include "report/desk/kind_form.h"
#include "report/label/of_packs.h"

namespace trayproof::desk {
namespace {

// Digits, a dash, a digit.
bool is_spelled_as_label(std::string_view text) {
  const std::size_t dash = text.find('-');
  if (dash == 0 || dash == std::string_view::npos || dash + 2 != text.size()) return false;
  return text.find_first_not_of("0123456789-") == std::string_view::npos && text.back() != '-';
}

// The field of the kind that this part of a form belongs to, where it names things other than people.
const events::Field* thing_field(const events::Kind& kind, std::string_view name) {
  constexpr std::string_view more = ".more";
  if (name.ends_with(more)) name.remove_suffix(more.size());
  const events::Field* field = kind.field(name);
  const std::string_view thing = events::thing_of(name);
  return field == nullptr || thing.empty() || thing == "person" ? nullptr : field;
}

class Reading {
 public:
  Reading(links::Links& tables, const events::Kind& kind, Scanned& out) : tables_(tables), kind_(kind), out_(out) {}

  // What this id means in that field.
  Result<std::string> meant(const events::Field& field, const std::string& id) {
    TRY_LET(const bool known, is_known(events::thing_of(field.name), id));
    if (known) return id;
    TRY_LET(const bool badge, is_there("SELECT 1 FROM person_enrolled WHERE person = ?1 LIMIT 1", id));
    if (badge) {
      refuse(field, say("form.badge-here", {{"person", id}}));
      return id;
    }
    const bool fresh = field.name == "pack" && (kind_.name == "packed" || kind_.name == "pack-received");
    if (fresh || events::thing_of(field.name) != "pack" || !is_spelled_as_label(id)) return id;
    TRY_LET(const auto pack, label::pack_of_code(tables_, id));
    if (pack) return *pack;
    // A patient's number may be spelled so too: the ledger refuses it, and does not repeat it.
    TRY_LET(const auto patient, tables_.ledger().pseudonym_of(id));
    if (!patient) refuse(field, say("form.no-such-label", {{"found", id}}));
    return id;
  }

 private:
  void refuse(const events::Field& field, std::string why) {
    out_.refused.push_back({0, std::string(field.name), std::move(why)});
  }
  Result<bool> is_known(std::string_view thing, const std::string& id) {
    bool known = false;
    TRY_LET(auto* rows, tables_.statements().at("SELECT 1 FROM mentions WHERE thing = ?1 AND id = ?2 LIMIT 1"));
    rows->bind(1, thing).bind(2, id);
    TRY(links::first_row(*rows, [&](store::Statement&) { known = true; }));
    return known;
  }
  Result<bool> is_there(const char* sql, const std::string& id) {
    bool there = false;
    TRY_LET(auto* rows, tables_.statements().at(sql));
    rows->bind(1, id);
    TRY(links::first_row(*rows, [&](store::Statement&) { there = true; }));
    return there;
  }

  links::Links& tables_;
  const events::Kind& kind_;
  Scanned& out_;
};

}  // namespace

Result<Scanned> read_scanned(links::Links& tables, const events::Kind& kind, const Fields& given) {
  Scanned out;
  Reading reading(tables, kind, out);
  std::vector<std::pair<std::string, std::string>> all;
  for (const auto& [name, value] : given.all()) {
    const events::Field* field = thing_field(kind, name);
    std::string read;
    bool changed = false;
    for (const std::string& id : field == nullptr ? std::vector<std::string>{} : ids_in(value)) {
      TRY_LET(const std::string meant, reading.meant(*field, id));
      changed = changed || meant != id;
      read += (read.empty() ? "" : "\n") + meant;
    }
    all.emplace_back(name, changed ? read : value);
  }
  out.fields = Fields(std::move(all));
  return out;
}

}  // namespace trayproof::desk
