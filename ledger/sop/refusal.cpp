#include "ledger/sop/refusal.h"

#include <algorithm>
#include <tuple>

#include "ledger/base/number.h"
#include "ledger/words/words.h"

namespace trayproof::sop {
namespace {

constexpr std::size_t refusals_shown = 20;

template <typename List>
std::string joined(const List& names) {
  std::string out;
  for (const auto& name : names) {
    if (!out.empty()) out += ", ";
    out += name;
  }
  return out;
}

std::string range_of(const Key& key) {
  const std::string low = shortest(key.range.low);
  const std::string high = shortest(key.range.high);
  const std::string what = say(key.sort == Sort::whole ? "sop.whole-number" : "sop.number");
  const std::string unit = key.unit.empty() ? "" : " (" + std::string(key.unit) + ")";
  return say(key.range.above_low ? "sop.range-above" : "sop.range", {{"what", what}, {"low", low}, {"high", high}}) +
         unit;
}

bool stands_once(std::string_view table) {
  for (const Table& one : tables()) {
    if (one.name == table) return one.add == nullptr;
  }
  return true;
}

}  // namespace

std::string allowed_by(const Key& key) {
  switch (key.sort) {
    case Sort::text:
      return say("sop.allowed-text");
    case Sort::id:
      return say("sop.allowed-id");
    case Sort::number:
    case Sort::whole:
      return range_of(key);
    case Sort::yes_no:
      return say("sop.allowed-yes-no");
    case Sort::word:
      return say("sop.allowed-word", {{"words", joined(key.words)}});
    case Sort::words:
      return say("sop.allowed-words", {{"words", joined(key.words)}});
    case Sort::prefixes:
      return say("sop.allowed-prefixes");
    case Sort::days:
      return say("sop.allowed-days", {{"range", range_of(key)}});
  }
  CHECK(false);
}

std::string heading_of(std::string_view table) {
  const std::string name(table);
  return stands_once(table) ? "[" + name + "]" : "[[" + name + "]]";
}

std::string place_of(const Key& key) { return heading_of(key.table) + " " + std::string(key.name); }

std::string names_in(std::string_view table) {
  std::vector<std::string> names;
  for (const Key& key : keys()) {
    if (key.table == table) names.emplace_back(key.name);
  }
  const std::string within = table.empty() ? "" : std::string(table) + ".";
  for (const Table& one : tables()) {
    const bool inside = one.name.substr(0, within.size()) == within;
    const bool directly = inside && one.name.find('.', within.size()) == std::string_view::npos;
    if (directly || (table.empty() && one.add != nullptr)) names.push_back(heading_of(one.name));
  }
  return joined(names);
}

Error as_error(std::vector<Refusal> refusals) {
  CHECK(!refusals.empty());
  std::stable_sort(refusals.begin(), refusals.end(), [](const Refusal& a, const Refusal& b) {
    return std::tie(a.line, a.column) < std::tie(b.line, b.column);
  });
  std::string text;
  for (std::size_t i = 0; i < refusals.size() && i < refusals_shown; ++i) {
    const Refusal& one = refusals[i];
    if (i > 0) text += "\n";
    text += say("sop.refused",
                {{"line", std::to_string(one.line)}, {"column", std::to_string(one.column)}, {"what", one.sentence}});
  }
  if (refusals.size() > refusals_shown) {
    text += "\n" + say("sop.refused-more", {{"count", std::to_string(refusals.size() - refusals_shown)}});
  }
  return {ErrorCode::invalid, text};
}

}  // namespace trayproof::sop
