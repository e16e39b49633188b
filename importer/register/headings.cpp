#include "importer/register/headings.h"

#include <algorithm>
#include <cctype>
#include <set>

#include "importer/reading/units.h"
#include "importer/register/amounts.h"
#include "importer/register/heading_table.h"
#include "ledger/base/utf8.h"
#include "ledger/text/unicode.h"

namespace trayproof::registers {
namespace {

using Words = std::vector<std::string>;

bool is_number_word(std::string_view word) {
  return std::all_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
}

std::string joined(const Words& words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
  return out;
}

Words without_fillers(const Words& words) {
  Words out;
  for (const std::string& word : words) {
    if (!is_filler(word) && !is_number_word(word)) out.push_back(word);
  }
  return out;
}

// "Temp (°C)" without its bracket, "Hold [min]", "Druck / bar": without the unit.
std::string without_unit(std::string_view heading) {
  std::string text(heading);
  const std::size_t open = text.find_first_of("([");
  if (open != std::string::npos && open > 0) {
    text.resize(open);
    return text;
  }
  const std::size_t cut = text.find_last_of(" /_");
  if (cut != std::string::npos && cut > 0 && unit_of(std::string_view(text).substr(cut + 1))) text.resize(cut);
  return text;
}

bool listed(std::string_view list, std::string_view wanted) {
  while (!list.empty()) {
    const std::size_t bar = list.find('|');
    if (list.substr(0, bar) == wanted) return true;
    list.remove_prefix(bar == std::string_view::npos ? list.size() : bar + 1);
  }
  return false;
}

// Phrases of the table may hold fillers; compared as they stand, then without.
bool listed_without_fillers(std::string_view list, const std::string& wanted) {
  while (!list.empty()) {
    const std::size_t bar = list.find('|');
    if (joined(without_fillers(heading_words(list.substr(0, bar)))) == wanted) return true;
    list.remove_prefix(bar == std::string_view::npos ? list.size() : bar + 1);
  }
  return false;
}

using Fields = std::vector<const events::Field*>;

Fields all_fields(const events::Kind& kind) {
  Fields out;
  for (const events::Field& field : kind.fields) out.push_back(&field);
  for (const std::string_view name : {"at", "by", "precision", "note", "entered", "slip"}) {
    if (kind.field(name) == nullptr) out.push_back(register_field(kind, name));
  }
  return out;
}

Fields named(const Words& words, const events::Kind& kind) {
  Fields out;
  const std::string phrase = joined(words);
  for (const events::Field* field : all_fields(kind)) {
    if (phrase == joined(heading_words(field->name))) out.push_back(field);
  }
  return out;
}

// A person's row names people by `person`; whoever wrote it down is not meant by "staff".
bool is_shadowed(const events::Field& field, std::string_view phrase, const events::Kind& kind) {
  return field.name == "by" && kind.field("person") != nullptr && !phrase.ends_with(" by");
}

template <typename Holds>
Fields in_table(const std::string& phrase, const events::Kind& kind, Holds holds) {
  Fields out;
  if (phrase.empty()) return out;
  for (const HeadingWords& one : heading_table()) {
    if (!one.kinds.empty() && !listed(one.kinds, kind.name)) continue;
    const events::Field* field = register_field(kind, one.field);
    if (field == nullptr || is_shadowed(*field, phrase, kind) || !holds(one.phrases, phrase)) continue;
    if (std::find(out.begin(), out.end(), field) == out.end()) out.push_back(field);
  }
  return out;
}

const events::Field* time_field(const events::Kind& kind, std::string_view name) {
  const events::Field* field = register_field(kind, name);
  return field != nullptr && is_time(*field) ? field : nullptr;
}

// "Start date", "Date of delivery", "Ende", "valid until".
Fields by_time_words(const Words& words, const events::Kind& kind) {
  std::set<TimeWord> said;
  for (const std::string& word : without_fillers(words)) {
    const TimeWord one = time_word(word);
    if (one == TimeWord::none && !is_deed(word)) return {};
    if (one != TimeWord::none) said.insert(one);
  }
  // "Packed on" asks for a day as "Date of packing" does.
  if (said.empty() && words.size() > 1 && words.back() == "on") said.insert(TimeWord::time);
  if (said.empty()) return {};
  const auto first_of = [&](std::initializer_list<std::string_view> names) -> Fields {
    for (const std::string_view name : names) {
      if (const events::Field* field = time_field(kind, name)) return {field};
    }
    return {};
  };
  const bool ends = kind.name.ends_with("-ended");
  if (said.contains(TimeWord::expiry)) return first_of({"expires", "use_by"});
  if (said.contains(TimeWord::due)) return first_of({"until", "due", "expires"});
  if (said.contains(TimeWord::placed)) return first_of({"placed"});
  if (said.contains(TimeWord::start) && said.contains(TimeWord::end)) return {};
  if (said.contains(TimeWord::end)) return ends ? first_of({"at"}) : first_of({"until"});
  if (said.contains(TimeWord::start)) return ends ? Fields{} : first_of({"from", "at"});
  return first_of({"at"});
}

}  // namespace

std::vector<std::string> heading_words(std::string_view heading) {
  std::string parted;
  for (std::size_t i = 0; i < heading.size(); ++i) {
    const char c = heading[i];
    if (i > 0 && c >= 'A' && c <= 'Z' && heading[i - 1] >= 'a' && heading[i - 1] <= 'z') parted += ' ';
    parted += c;
  }
  const std::string text = folded(parted);
  Words words;
  std::string word;
  const auto end = [&] {
    if (!word.empty()) words.push_back(std::move(word));
    word.clear();
  };
  for (std::size_t at = 0; at < text.size();) {
    const char32_t point = next_code_point(text, at);
    if (is_letter_or_digit(point))
      append_utf8(word, point);
    else
      end();
  }
  end();
  return words;
}

std::string heading_key(std::string_view heading) { return joined(heading_words(heading)); }

std::vector<const events::Field*> meanings(std::string_view heading, const events::Kind& kind) {
  for (const std::string& text : {std::string(heading), without_unit(heading)}) {
    const Words words = heading_words(text);
    if (words.empty()) continue;
    if (auto found = named(words, kind); !found.empty()) return found;
    const std::string phrase = joined(words);
    if (auto found = in_table(phrase, kind, listed); !found.empty()) return found;
    if (auto found = by_time_words(words, kind); !found.empty()) return found;
    const Words bare = without_fillers(words);
    if (bare.empty()) continue;
    if (auto found = named(bare, kind); !found.empty()) return found;
    if (auto found = in_table(joined(bare), kind, listed_without_fillers); !found.empty()) return found;
  }
  return {};
}

const events::Field* register_field(const events::Kind& kind, std::string_view name) {
  if (const events::Field* field = kind.field(name)) return field;
  static constexpr std::string_view given[] = {"at", "by", "precision", "note", "entered", "slip"};
  if (std::find(std::begin(given), std::end(given), name) == std::end(given)) return nullptr;
  for (const events::Field& field : events::envelope()) {
    if (field.name == name) return &field;
  }
  return nullptr;
}

bool is_time(const events::Field& field) {
  using enum events::Type;
  return field.type == date || field.type == date_time || field.type == date_or_time || field.type == flag_or_date;
}
bool is_list(const events::Field& field) {
  using enum events::Type;
  return field.type == id_list || field.type == choice_list || field.type == patient_list || field.type == items;
}
bool is_number(const events::Field& field) {
  using enum events::Type;
  return field.type == integer || field.type == indicator_type || field.type == seq || field.type == number ||
         field.type == amount || field.type == percent || field.type == temperature;
}
bool is_patient(const events::Field& field) {
  return field.type == events::Type::patient || field.type == events::Type::patient_list;
}

}  // namespace trayproof::registers
