#include "report/desk/label_numbers.h"

#include "ledger/words/words.h"
#include "report/desk/kind_form.h"
#include "report/label/of_packs.h"

namespace trayproof::desk {
namespace {

// Digits, a dash, a digit.
bool is_spelled_so(std::string_view text) {
  const std::size_t dash = text.find('-');
  if (dash == 0 || dash == std::string_view::npos || dash + 2 != text.size()) return false;
  return text.find_first_not_of("0123456789-") == std::string_view::npos && text.back() != '-';
}

Result<bool> is_known(links::Links& tables, std::string_view pack) {
  bool known = false;
  TRY_LET(auto* rows, tables.statements().at("SELECT 1 FROM packs WHERE pack = ?1"));
  rows->bind(1, pack);
  TRY(links::first_row(*rows, [&](store::Statement&) { known = true; }));
  return known;
}

// The field of the kind that holds this part of a form, where it names packs that are there already.
const events::Field* pack_field(const events::Kind& kind, std::string_view name) {
  constexpr std::string_view more = ".more";
  if (name.ends_with(more)) name.remove_suffix(more.size());
  const events::Field* field = kind.field(name);
  const bool fresh = name == "pack" && (kind.name == "packed" || kind.name == "pack-received");
  return field != nullptr && !fresh && events::thing_of(name) == "pack" ? field : nullptr;
}

}  // namespace

Result<NumbersRead> read_label_numbers(links::Links& tables, const events::Kind& kind, const Fields& given) {
  NumbersRead out;
  std::vector<std::pair<std::string, std::string>> all;
  for (const auto& [name, value] : given.all()) {
    const events::Field* field = pack_field(kind, name);
    if (field == nullptr) {
      all.emplace_back(name, value);
      continue;
    }
    std::string read;
    bool any = false;
    for (const std::string& one : ids_in(value)) {
      std::string meant = one;
      TRY_LET(const bool known, is_known(tables, one));
      if (is_spelled_so(one) && !known) {
        TRY_LET(const auto pack, label::pack_of_code(tables, one));
        // A patient's number may be spelled so too: the ledger refuses it, and does not repeat it.
        TRY_LET(const auto patient, tables.ledger().pseudonym_of(one));
        if (!pack && !patient)
          out.refused.push_back({0, std::string(field->name), say("form.no-such-label", {{"found", one}})});
        meant = pack.value_or(one);
        any = any || pack.has_value();
      }
      read += (read.empty() ? "" : "\n") + meant;
    }
    all.emplace_back(name, any ? read : value);
  }
  out.fields = Fields(std::move(all));
  return out;
}

}  // namespace trayproof::desk
