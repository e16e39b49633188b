// Reads the SOP file: the library reads the TOML, the table of keys.h says what may stand in it, and nothing that is
// not understood is passed over. The only file that includes toml++.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
// toml++ 3.3.0 asserts that a table's name begins with a letter that it takes, and only then refuses one that does not:
// "[é]" would end the program. Without the assertion its own refusal is reached (tests/fuzz, sop-file).
#define TOML_ASSERT(condition) static_assert(true)
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/sop/kept.h"
#include "ledger/sop/refusal.h"
#include "ledger/sop/stated.h"
#include "ledger/text/unicode.h"
#include "ledger/words/words.h"

namespace trayproof::sop {
namespace {

// The text of an edition stands in an event, whose limit this is.
constexpr std::size_t file_bytes_max = 128 * 1024;
constexpr std::size_t text_points_max = 200;
constexpr std::size_t id_points_max = 64;
constexpr std::size_t list_max = 2000;

bool is_plain_text(std::string_view text, std::size_t points_max) {
  std::size_t points = 0;
  for (std::size_t at = 0; at < text.size(); ++points) {
    const char32_t c = next_code_point(text, at);
    if (is_control(c) || is_direction_mark(c)) return false;
  }
  return points > 0 && points <= points_max;
}

bool is_id(std::string_view text) {
  if (!is_plain_text(text, id_points_max) || nfc(text) != text) return false;
  if (text.find("..") != std::string_view::npos || text.find("//") != std::string_view::npos) return false;
  if (std::string_view(".-/").find(text.front()) != std::string_view::npos) return false;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t c = next_code_point(text, at);
    const bool mark = c < 0x80 && std::string_view("._-/:").find(static_cast<char>(c)) != std::string_view::npos;
    if (!mark && !is_id_letter(c)) return false;
  }
  return true;
}

std::string found_in(const toml::node& node) {
  if (const auto* text = node.as_string()) return say("sop.found-text", {{"text", shortened(text->get(), 60)}});
  if (const auto* whole = node.as_integer()) return std::to_string(whole->get());
  if (const auto* number = node.as_floating_point()) {
    return std::isfinite(number->get()) ? shortest(number->get()) : say("sop.found-not-finite");
  }
  if (const auto* yes = node.as_boolean()) return yes->get() ? "true" : "false";
  if (const auto* list = node.as_array()) {
    return list->is_array_of_tables() ? say("sop.found-tables") : say("sop.found-list");
  }
  return say(node.is_table() ? "sop.found-table" : "sop.found-time");
}

std::optional<double> number_in(const toml::node& node) {
  if (const auto* whole = node.as_integer()) return static_cast<double>(whole->get());
  if (const auto* number = node.as_floating_point()) return number->get();
  return std::nullopt;
}

bool within(const Range& range, double value) {
  if (!std::isfinite(value) || value > range.high) return false;
  return range.above_low ? value > range.low : value >= range.low;
}

bool is_one_of(std::span<const std::string_view> words, std::string_view text) {
  return std::find(words.begin(), words.end(), text) != words.end();
}

// Nothing when the node is not what the key allows.
std::optional<Taken> taken_text(const Key& key, const toml::node& node) {
  const auto* text = node.as_string();
  if (text == nullptr) return std::nullopt;
  const bool good = key.sort == Sort::word   ? is_one_of(key.words, text->get())
                    : key.sort == Sort::id   ? is_id(text->get())
                    : key.sort == Sort::days ? text->get() == "until-damaged"
                                             : is_plain_text(text->get(), text_points_max);
  if (!good) return std::nullopt;
  return Taken{.number = 0, .yes = false, .text = text->get(), .texts = {}};
}

std::optional<Taken> taken_number(const Key& key, const toml::node& node) {
  const auto number = number_in(node);
  if (!number || !within(key.range, *number)) return std::nullopt;
  if (key.sort == Sort::whole && *number != std::floor(*number)) return std::nullopt;
  return Taken{.number = *number, .yes = false, .text = {}, .texts = {}};
}

std::optional<Taken> taken_list(const Key& key, const toml::node& node) {
  const auto* list = node.as_array();
  if (list == nullptr || list->size() > list_max) return std::nullopt;
  Taken taken;
  for (const toml::node& one : *list) {
    const auto* text = one.as_string();
    if (text == nullptr) return std::nullopt;
    const bool good =
        key.sort == Sort::words ? is_one_of(key.words, text->get()) : is_plain_text(text->get(), text_points_max);
    if (!good) return std::nullopt;
    taken.texts.push_back(text->get());
  }
  return taken;
}

std::optional<Taken> taken(const Key& key, const toml::node& node) {
  switch (key.sort) {
    case Sort::number:
    case Sort::whole:
      return taken_number(key, node);
    case Sort::words:
    case Sort::prefixes:
      return taken_list(key, node);
    case Sort::days:
      return node.is_string() ? taken_text(key, node) : taken_number(key, node);
    case Sort::yes_no: {
      const auto* yes = node.as_boolean();
      if (yes == nullptr) return std::nullopt;
      return Taken{.number = 0, .yes = yes->get(), .text = {}, .texts = {}};
    }
    case Sort::text:
    case Sort::id:
    case Sort::word:
      return taken_text(key, node);
  }
  CHECK(false);
}

std::string spelt(const Key& key, const Taken& taken) {
  switch (key.sort) {
    case Sort::yes_no:
      return taken.yes ? "true" : "false";
    case Sort::words:
    case Sort::prefixes:
      return listed(taken.texts);
    default:
      return taken.text.empty() ? shortest(taken.number) : taken.text;
  }
}

// What becomes of a key or a value that this program does not know.
enum class Unknown { refused, left_out };

class Reader {
 public:
  explicit Reader(Unknown unknown_keys) : unknown_keys_(unknown_keys) {}

  // Reads what stands in `table`; `prefix` is the part of a dotted name that already led into it ("days.").
  void read(const toml::table& table, const std::string& path, const std::string& prefix) {
    for (const auto& [name, node] : table) read_member(name, node, path, prefix);
  }

  void check_pairs(const toml::table& root) {
    ordered(root, "decontamination", "percent_min", "percent_max");
    ordered(root, "decontamination", "soak_minutes_min", "soak_minutes_max");
    ordered(root, "records", "late_hours", "very_late_hours");
    if (const auto* list = root["disinfectant"].as_array()) {
      for (const toml::node& one : *list) {
        if (one.is_table()) ordered(*one.as_table(), "", "percent_min", "percent_max");
      }
      named_once(*list, "agent");
    }
    if (const auto* list = root["steam"]["program"].as_array()) named_once(*list, "temperature_c");
  }

  std::vector<Refusal> refusals;
  std::vector<Stated> stated;
  std::vector<std::string> left_out;  // "[steam] warm_up_minutes"
  Sop sop;

 private:
  void refuse(const toml::source_region& where, std::string sentence) {
    refusals.push_back({where.begin.line, where.begin.column, std::move(sentence)});
  }

  void refuse_value(const toml::node& node, const std::string& place, const std::string& allowed) {
    if (unknown_keys_ == Unknown::left_out) return left_out.push_back(place);
    refuse(node.source(), say("sop.value", {{"key", place}, {"found", found_in(node)}, {"allowed", allowed}}));
  }

  void read_member(const toml::key& name, const toml::node& node, const std::string& path, const std::string& prefix) {
    const std::string dotted = prefix + std::string(name.str());
    const bool quoted_dot = name.str().find('.') != std::string_view::npos;
    if (!quoted_dot) {
      for (const Key& key : keys()) {
        if (key.table == path && key.name == dotted) return read_value(key, node);
      }
      const std::string inner = path.empty() ? dotted : path + "." + dotted;
      for (const Table& table : tables()) {
        if (table.name == inner) return table.add ? read_tables(table, node) : read_table(inner, node, inner, "");
      }
      for (const Key& key : keys()) {
        const bool leads_on = key.table == path && key.name.substr(0, dotted.size() + 1) == dotted + ".";
        if (leads_on) return read_table(path + "." + dotted, node, path, dotted + ".");
      }
    }
    if (unknown_keys_ == Unknown::left_out) {
      left_out.push_back(path.empty() ? shortened(dotted, 60) : heading_of(path) + " " + shortened(dotted, 60));
      return;
    }
    const std::string where = path.empty() ? say("sop.top") : say("sop.within", {{"heading", heading_of(path)}});
    refuse(name.source(),
           say("sop.unknown", {{"key", shortened(dotted, 60)}, {"where", where}, {"allowed", names_in(path)}}));
  }

  void read_value(const Key& key, const toml::node& node) {
    const auto value = taken(key, node);
    if (!value) return refuse_value(node, place_of(key), allowed_by(key));
    key.take(sop, *value);
    stated.push_back({&key, element_, spelt(key, *value)});
  }

  void read_table(const std::string& shown, const toml::node& node, const std::string& path,
                  const std::string& prefix) {
    if (!node.is_table()) return refuse_value(node, "[" + shown + "]", say("sop.allowed-table"));
    read(*node.as_table(), path, prefix);
  }

  void read_tables(const Table& table, const toml::node& node) {
    const std::string heading = heading_of(table.name);
    if (!node.is_array()) return refuse_value(node, heading, say("sop.allowed-tables", {{"heading", heading}}));
    element_ = 0;
    for (const toml::node& one : *node.as_array()) {
      if (!one.is_table()) {
        refuse_value(one, heading, say("sop.allowed-tables", {{"heading", heading}}));
        continue;
      }
      const Sop before = unknown_keys_ == Unknown::left_out ? sop : Sop{};
      const std::size_t stated_before = stated.size();
      table.add(sop);
      ++element_;
      read(*one.as_table(), std::string(table.name), "");
      if (unknown_keys_ == Unknown::left_out) {
        if (is_whole(table, stated_before)) continue;
        // An element without what names it would judge what it does not mean.
        if (left_out.empty() || !left_out.back().starts_with(heading)) left_out.push_back(heading);
        sop = before;
        stated.resize(stated_before);
        --element_;
        continue;
      }
      for (const Key& key : keys()) {
        if (key.table != table.name || !key.required || one.as_table()->contains(key.name)) continue;
        refuse(one.source(),
               say("sop.required", {{"heading", heading}, {"key", key.name}, {"allowed", allowed_by(key)}}));
      }
    }
    element_ = 0;
  }

  // Whether every key that an element needs was taken since.
  bool is_whole(const Table& table, std::size_t since) const {
    return std::all_of(keys().begin(), keys().end(), [&](const Key& key) {
      if (key.table != table.name || !key.required) return true;
      return std::any_of(stated.begin() + static_cast<std::ptrdiff_t>(since), stated.end(),
                         [&](const Stated& one) { return one.key == &key; });
    });
  }

  // A least value above its greatest would make every record a gap.
  void ordered(const toml::table& root, std::string_view table, std::string_view low, std::string_view high) {
    const auto* inside = table.empty() ? &root : root[table].as_table();
    if (inside == nullptr || !inside->contains(low) || !inside->contains(high)) return;
    const auto least = number_in(*inside->get(low));
    const auto most = number_in(*inside->get(high));
    if (!least || !most || *least <= *most) return;
    const std::string allowed = say("sop.not-below", {{"key", low}, {"value", shortest(*least)}});
    refuse_value(*inside->get(high), std::string(high), allowed);
  }

  // Two elements of one name would leave open which of them holds.
  void named_once(const toml::array& list, std::string_view name) {
    std::set<std::string> seen;
    for (const toml::node& one : list) {
      const toml::node* value = one.is_table() ? one.as_table()->get(name) : nullptr;
      if (value == nullptr || !value->is_value()) continue;
      const auto number = number_in(*value);
      const std::string spelt = number && std::isfinite(*number) ? shortest(*number) : found_in(*value);
      if (!seen.insert(spelt).second) refuse_value(*value, std::string(name), say("sop.once"));
    }
  }

  Unknown unknown_keys_;
  std::size_t element_ = 0;  // of the list of tables that is being read
};

Result<Reader> read_all(std::string_view text, Unknown unknown_keys) {
  if (text.size() > file_bytes_max) {
    return Error(ErrorCode::invalid, say("sop.too-long", {{"found", std::to_string(text.size())},
                                                          {"allowed", std::to_string(file_bytes_max)}}));
  }
  const toml::parse_result parsed = toml::parse(text);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    const auto& at = error.source().begin;
    return as_error({{at.line, at.column, say("sop.no-toml", {{"what", error.description()}})}});
  }
  Reader reader(unknown_keys);
  reader.read(parsed.table(), "", "");
  if (unknown_keys == Unknown::refused) reader.check_pairs(parsed.table());
  if (!reader.refusals.empty()) return as_error(std::move(reader.refusals));
  return reader;
}

}  // namespace

Result<Sop> read(std::string_view text) {
  TRY_LET(Reader reader, read_all(text, Unknown::refused));
  return std::move(reader.sop);
}

Kept read_kept(std::string_view text) {
  auto reader = read_all(text, Unknown::left_out);
  if (!reader.ok()) return {.sop = {}, .unknown = {say("sop.whole-text")}};
  return {.sop = std::move(reader.value().sop), .unknown = std::move(reader.value().left_out)};
}

Result<std::vector<Stated>> stated(std::string_view text) {
  TRY_LET(Reader reader, read_all(text, Unknown::left_out));
  return std::move(reader.stated);
}

}  // namespace trayproof::sop
