#include "importer/reading/columns.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "importer/reading/stamps.h"

namespace trayproof::reading {
namespace {

std::string lower(std::string text) {
  for (char& c : text) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return text;
}

// What the head's rows hold in one cell place.
struct Facts {
  std::size_t filled = 0;
  std::size_t numbers = 0;
  std::size_t marks = 0;
  std::size_t full_stamps = 0;
  std::size_t dates = 0;
  std::size_t clocks = 0;
  std::size_t bare_clocks = 0;
  std::size_t elapsed_clocks = 0;
  std::size_t halves = 0;
  std::size_t units = 0;
  bool whole = true;   // all numbers are integers
  bool rising = true;  // never falls
  bool by_one = true;  // each is the one before plus one
  double first = 0;
  double last = 0;
  double lowest = 0;
  double highest = 0;
  std::string first_text;
  std::map<std::string, std::size_t> texts;
  std::map<std::string, std::size_t> cell_units;

  bool mostly(std::size_t count) const { return filled > 0 && count * 10 >= filled * 8; }
};

void add_number(Facts& facts, const Number& number) {
  const double value = number.value;
  if (facts.numbers == 0) {
    facts.first = facts.lowest = facts.highest = value;
  } else {
    if (value < facts.last) facts.rising = false;
    if (value != facts.last + 1) facts.by_one = false;
  }
  if (value != std::floor(value)) facts.whole = false;
  facts.lowest = std::min(facts.lowest, value);
  facts.highest = std::max(facts.highest, value);
  facts.last = value;
  ++facts.numbers;
  if (!number.unit.empty()) ++facts.cell_units[std::string(number.unit)];
}

Facts facts_of(const std::vector<HeadRecord>& rows, std::size_t place, Decimal decimal) {
  Facts facts;
  for (const HeadRecord& row : rows) {
    if (place >= row.cells.size() || row.cells[place].kind == Kind::empty) continue;
    const HeadCell& cell = row.cells[place];
    if (facts.filled++ == 0) facts.first_text = cell.text;
    if (facts.texts.size() < 200) ++facts.texts[cell.text];
    if (half_day(cell.text)) ++facts.halves;
    if (unit_named(cell.text)) ++facts.units;
    if (const auto stamp = parse_stamp(cell.text)) {
      if (stamp->date && stamp->clock_ms)
        ++facts.full_stamps;
      else if (stamp->date)
        ++facts.dates;
      else
        ++facts.clocks;
    }
    if (bare_clock(cell.text)) ++facts.bare_clocks;
    if (parse_elapsed(cell.text)) ++facts.elapsed_clocks;
    if (const auto number = parse_quantity(cell.text, decimal))
      add_number(facts, *number);
    else if (cell.kind == Kind::mark)
      ++facts.marks;
  }
  return facts;
}

std::optional<double> said_interval(const std::vector<Metadata>& metadata);

class Finder {
 public:
  Finder(const Layout& layout, Decimal decimal, const NamedUnits& said) : layout_(layout), said_(said) {
    std::size_t count = layout.names.empty() ? layout.width : std::max(layout.names.size(), layout.width);
    for (std::size_t i = 0; i < count; ++i) {
      std::string name = i < layout.names.size() ? layout.names[i] : "";
      if (name.empty()) name = "column " + std::to_string(i + 1);
      names_.push_back(std::move(name));
      guesses_.push_back(guess_of(names_.back()));
      meanings_.push_back(meaning_of(names_.back()));
      const Guess meant = guess_of(meanings_.back());
      if (meant == Guess::temperature || meant == Guess::pressure || meant == Guess::humidity ||
          meant == Guess::barometer || meant == Guess::ignored)
        guesses_.back() = meant;
      facts_.push_back(facts_of(layout.rows, i, decimal));
      taken_.push_back(false);
    }
  }

  Columns find() {
    columns_.count = names_.size();
    find_time();
    find_rows_of_channels();
    for (std::size_t i = 0; i < names_.size(); ++i) {
      if (!taken_[i]) place(i);
    }
    return std::move(columns_);
  }

 private:
  // "CH2: chamber pressure [kPa]" above the table says what the column CH2 is.
  std::string meaning_of(const std::string& name) const {
    const auto found = std::find_if(layout_.metadata.begin(), layout_.metadata.end(),
                                    [&](const Metadata& line) { return !name.empty() && line.key == name; });
    const bool told = found != layout_.metadata.end() && kind_of(found->value) == Kind::text;
    return told ? found->value : std::string();
  }

  std::optional<std::size_t> column_where(auto condition) const {
    for (std::size_t i = 0; i < names_.size(); ++i) {
      if (!taken_[i] && condition(i)) return i;
    }
    return std::nullopt;
  }

  void take_time(TimeForm form, std::size_t place) {
    columns_.time.form = form;
    columns_.time.first = place;
    columns_.time.name = names_[place];
    taken_[place] = true;
  }

  void find_time() {
    if (const auto full =
            column_where([&](std::size_t i) { return time_like(i) && facts_[i].mostly(facts_[i].full_stamps); })) {
      take_time(TimeForm::stamp, *full);
      columns_.time.clocked = true;
    } else if (const auto date = column_where([&](std::size_t i) {
                 return time_like(i) && facts_[i].mostly(facts_[i].dates) &&
                        facts_[i].filled * 2 >= layout_.rows.size();
               })) {
      auto clock = column_where([&](std::size_t i) { return facts_[i].mostly(facts_[i].clocks); });
      if (!clock) {
        clock = column_where([&](std::size_t i) {
          return i != *date && guesses_[i] == Guess::time && facts_[i].mostly(facts_[i].bare_clocks);
        });
        columns_.time.bare = clock.has_value();
      }
      // Rows of one day and no time of day that can be read: none of them has a time.
      if (!clock && facts_[*date].texts.size() * 2 < facts_[*date].filled) {
        clock = column_where([&](std::size_t i) { return i != *date && guesses_[i] == Guess::time; });
        if (!clock) return;
      }
      take_time(clock ? TimeForm::apart : TimeForm::stamp, *date);
      if (clock) {
        columns_.time.clock = clock;
        taken_[*clock] = true;
      }
    } else if (const auto clock = column_where([&](std::size_t i) {
                 return facts_[i].mostly(std::max(facts_[i].clocks, facts_[i].elapsed_clocks)) &&
                        !facts_[i].mostly(facts_[i].numbers);
               })) {
      take_time(is_elapsed_clock(*clock) ? TimeForm::elapsed_clock : TimeForm::clock, *clock);
      if (columns_.time.form == TimeForm::clock) find_date_beside();
      if (columns_.time.form == TimeForm::elapsed_clock) columns_.time.unit = last_part(*clock);
    } else {
      find_number_time();
    }
    if (columns_.time.form == TimeForm::none) return;
    // A column of AM and PM behind the clock.
    const std::size_t behind = columns_.time.clock.value_or(columns_.time.first) + 1;
    if (behind < facts_.size() && facts_[behind].mostly(facts_[behind].halves) && facts_[behind].filled > 0) {
      columns_.time.half = behind;
      taken_[behind] = true;
    }
  }

  // "2024-05-14" in the first row of each day, nothing in the others.
  void find_date_beside() {
    const auto date = column_where([&](std::size_t i) {
      return guesses_[i] == Guess::date && facts_[i].filled > 0 && facts_[i].filled == facts_[i].dates;
    });
    if (!date) return;
    columns_.time.date = date;
    columns_.first_date = Metadata{"Date", facts_[*date].first_text, 0};
    taken_[*date] = true;
  }

  // Eight or fourteen digits are a date only where the column's name says so.
  bool time_like(std::size_t i) const {
    if (!facts_[i].mostly(facts_[i].numbers)) return true;
    return guesses_[i] == Guess::time || guesses_[i] == Guess::date;
  }

  bool is_elapsed_clock(std::size_t i) const {
    const auto words = words_of(names_[i]);
    for (const std::string& word : words) {
      if (word == "elapsed" || word == "laufzeit" || word == "dauer" || word == "duration" || word == "runtime")
        return true;
    }
    if (facts_[i].clocks < facts_[i].elapsed_clocks) return true;  // hours past 23
    const auto first = parse_elapsed(facts_[i].first_text);
    return first && *first == 0;
  }

  std::optional<Unit> said_unit(std::size_t i) const {
    for (const auto& [name, unit] : said_) {
      if (name == names_[i]) {
        if (const auto found = unit_named(unit)) return found->unit;
      }
    }
    return std::nullopt;
  }

  // Of elapsed clocks of two parts: what the last one counts, as a person or the column's name says ("Elapsed (h:mm)").
  std::optional<Unit> last_part(std::size_t i) const {
    if (const auto said = said_unit(i); said && (*said == Unit::minute || *said == Unit::second)) return said;
    const std::string name = " " + lower(names_[i]) + " " + (i < layout_.units.size() ? lower(layout_.units[i]) : "");
    for (const std::string_view form : {"m:ss", "mm:ss", "min:s", "min:sec"}) {
      if (name.find(form) != std::string::npos) return Unit::second;
    }
    for (const std::string_view form : {"h:mm", "hh:mm", "h:min"}) {
      if (name.find(form) != std::string::npos) return Unit::minute;
    }
    return std::nullopt;
  }

  void find_number_time() {
    auto place = column_where([&](std::size_t i) {
      return (guesses_[i] == Guess::time || guesses_[i] == Guess::date) && facts_[i].mostly(facts_[i].numbers);
    });
    // No name says time: the first column, where it only rises.
    if (!place && !names_.empty() && facts_[0].mostly(facts_[0].numbers) && facts_[0].rising && facts_[0].numbers > 1 &&
        facts_[0].last > facts_[0].first && (guesses_[0] != Guess::temperature || names_[0] == "t") &&
        guesses_[0] != Guess::pressure) {
      place = 0;
    }
    if (!place && layout_.rows.empty()) {  // a header and no row
      place = column_where([&](std::size_t i) { return guesses_[i] == Guess::time || guesses_[i] == Guess::date; });
    }
    if (!place) return;
    const Facts& facts = facts_[*place];
    const auto said = said_unit(*place);
    auto unit = unit_in(names_[*place]);
    if (!unit && *place < layout_.units.size()) unit = unit_named(layout_.units[*place]);
    const bool has_unit = said || (unit && is_time(unit->unit));
    if (!has_unit && facts.lowest >= 9e8 && facts.highest <= 4e9) return take_time(TimeForm::unix_seconds, *place);
    if (facts.lowest >= 9e8 && facts.highest <= 4e9 && unit && unit->unit == Unit::second)
      return take_time(TimeForm::unix_seconds, *place);
    if (facts.lowest >= 9e11 && facts.highest <= 4e12) return take_time(TimeForm::unix_milliseconds, *place);
    if (!has_unit && facts.lowest >= 20000 && facts.highest <= 80000 && !facts.whole)
      return take_time(TimeForm::serial, *place);
    take_time(TimeForm::elapsed, *place);
    if (!has_unit && guesses_[*place] == Guess::index && facts.whole)
      columns_.time.step_s = said_interval(layout_.metadata);
    if (said)
      columns_.time.unit = said;
    else if (unit && is_time(unit->unit))
      columns_.time.unit = unit->unit;
  }

  // A column whose cells name channels, and one number beside it.
  void find_rows_of_channels() {
    if (layout_.rows.size() < 4 || columns_.time.form == TimeForm::none) return;
    const std::size_t stamp = columns_.time.clock.value_or(columns_.time.first);
    const bool stamps_repeat = facts_[stamp].texts.size() * 3 <= facts_[stamp].filled * 2;
    const auto names = column_where([&](std::size_t i) {
      const Facts& facts = facts_[i];
      const std::size_t different = facts.texts.size();
      if (different < 2 || different > 64 || different * 2 > facts.filled || facts.filled < layout_.rows.size())
        return false;
      const bool text = facts.numbers == 0 && facts.marks == 0 && facts.units < facts.filled;
      const bool number = facts.whole && facts.numbers == facts.filled && stamps_repeat;
      return (guesses_[i] == Guess::long_channel && (text || number)) || (text && stamps_repeat);
    });
    if (!names) return;
    std::vector<std::size_t> values;
    for (std::size_t i = 0; i < names_.size(); ++i) {
      const Facts& facts = facts_[i];
      if (taken_[i] || i == *names || guesses_[i] == Guess::ignored || guesses_[i] == Guess::index) continue;
      if (facts.numbers > 0 && facts.mostly(facts.numbers + facts.marks)) values.push_back(i);
    }
    if (values.size() != 1) return;
    LongForm form{.channel = *names, .value = values[0], .unit = {}};
    form.unit =
        column_where([&](std::size_t i) { return i != *names && i != values[0] && facts_[i].mostly(facts_[i].units); });
    taken_[form.channel] = taken_[form.value] = true;
    if (form.unit) taken_[*form.unit] = true;
    columns_.rows_of_channels = form;
  }

  void ignore(std::size_t i, std::string why) { columns_.ignored.push_back({names_[i], std::move(why)}); }

  void place(std::size_t i) {
    const Facts& facts = facts_[i];
    const Guess guess = guesses_[i];
    if (columns_.rows_of_channels) return ignore(i, "text");
    if (guess == Guess::ignored) return ignore(i, "derived");
    if (guess == Guess::index) return ignore(i, "counter");
    if (guess == Guess::time || guess == Guess::date) return ignore(i, "time");
    const bool known = guess == Guess::temperature || guess == Guess::pressure || guess == Guess::humidity ||
                       guess == Guess::barometer;
    const bool numeric = facts.numbers > 0 && facts.mostly(facts.numbers + facts.marks);
    // A channel that holds nothing but marks, or nothing at all, is told with all its values missing.
    const bool silent = facts.numbers == 0 && facts.filled == facts.marks && (known || facts.marks > 0);
    if (!numeric && !silent && !(known && facts.numbers > 0)) return ignore(i, "text");
    // "Logger name 564" once in a column of its own: said about the file, not measured.
    const bool said_once = facts.texts.size() == 1 && facts.filled * 10 <= layout_.rows.size();
    if (!known && said_once && layout_.rows.size() > 3) return ignore(i, "text");
    if (guess == Guess::none && numeric && facts.whole && facts.by_one && facts.numbers > 3)
      return ignore(i, "counter");
    columns_.channels.push_back(channel(i));
  }

  ChannelColumn channel(std::size_t i) {
    ChannelColumn out;
    out.cell = i;
    out.name = names_[i];
    const auto take = [&](std::string_view text) {
      if (out.unit) return;
      out.unit = unit_named(text);
      if (out.unit && is_time(out.unit->unit)) out.unit.reset();
      if (out.unit) out.unit_text = std::string(trimmed(text));
    };
    for (const auto& [name, unit] : said_) {
      if (name == out.name) take(unit);
    }
    if (!out.unit) {
      out.unit = unit_in(out.name);
      if (out.unit && is_time(out.unit->unit)) out.unit.reset();
      if (out.unit) out.unit_text = std::string(name_of(out.unit->unit));
    }
    if (i < layout_.units.size()) take(layout_.units[i]);
    if (const auto meant = unit_in(meanings_[i]); meant && !is_time(meant->unit) && !out.unit) {
      out.unit = meant;
      out.unit_text = std::string(name_of(meant->unit));
    }
    if (!facts_[i].cell_units.empty()) {
      const auto most = std::max_element(facts_[i].cell_units.begin(), facts_[i].cell_units.end(),
                                         [](const auto& a, const auto& b) { return a.second < b.second; });
      take(most->first);
    }
    const Guess guess = guesses_[i];
    out.quantity = guess == Guess::temperature ? Quantity::temperature
                   : guess == Guess::pressure  ? Quantity::pressure
                   : guess == Guess::barometer ? Quantity::barometer
                   : guess == Guess::humidity  ? Quantity::humidity
                                               : Quantity::other;
    // A column of units beside the values, or a line of the preamble, gives the unit of what has none.
    if (!out.unit && out.quantity != Quantity::humidity) {
      for (std::size_t k = 0; k < facts_.size(); ++k) {
        if (k != i && facts_[k].texts.size() == 1 && facts_[k].mostly(facts_[k].units)) take(facts_[k].first_text);
      }
      for (const Metadata& line : layout_.metadata) {
        const auto words = words_of(line.key);
        if (std::find_if(words.begin(), words.end(), [](const std::string& w) {
              return w == "unit" || w == "units" || w == "einheit";
            }) != words.end()) {
          const auto unit = unit_named(line.value);
          if (unit && is_temperature(unit->unit) == (out.quantity != Quantity::pressure)) take(line.value);
        }
      }
    }
    if (out.unit && out.quantity == Quantity::other) {
      out.quantity = is_temperature(out.unit->unit)    ? Quantity::temperature
                     : is_pressure(out.unit->unit)     ? Quantity::pressure
                     : out.unit->unit == Unit::percent ? Quantity::humidity
                                                       : Quantity::other;
    }
    // A unit of another quantity is none: "T1 (%)" keeps its name's word only where the unit agrees.
    if (out.unit && out.quantity == Quantity::temperature && !is_temperature(out.unit->unit)) {
      out.quantity = is_pressure(out.unit->unit) ? Quantity::pressure : Quantity::other;
    }
    if (out.unit && out.quantity == Quantity::pressure && !is_pressure(out.unit->unit)) out.quantity = Quantity::other;
    if (out.unit && out.unit->sense == Sense::unknown) out.unit->sense = sense_in(out.name);
    if (out.unit && out.unit->sense == Sense::unknown) out.unit->sense = sense_in(meanings_[i]);
    return out;
  }

  const Layout& layout_;
  const NamedUnits& said_;
  std::vector<std::string> names_;
  std::vector<std::string> meanings_;  // what the preamble says that a column is, mostly empty
  std::vector<Guess> guesses_;
  std::vector<Facts> facts_;
  std::vector<bool> taken_;
  Columns columns_;
};

bool few_digits(std::string_view text) {
  return !text.empty() && text.size() <= 3 && text.find_first_not_of("0123456789") == std::string_view::npos;
}

std::vector<std::string_view> views_of(const HeadRecord& row) {
  std::vector<std::string_view> out;
  for (const HeadCell& cell : row.cells) out.push_back(cell.text);
  return out;
}

// Which named columns are cut in two by a comma that separates as well; empty where the file is none of those.
std::vector<bool> find_pairs(const Layout& layout) {
  if (layout.rows.empty()) return {};
  std::vector<bool> pairs;
  const HeadRecord& first = layout.rows.front();
  if (layout.names.empty()) {
    // Without names only decimals that all have the same length and lead with zeros prove it.
    std::size_t place = 0;
    for (; place < first.cells.size() && first.cells[place].kind == Kind::stamp; ++place) pairs.push_back(false);
    if (place == 0 || place >= layout.width || (layout.width - place) % 2 != 0) return {};
    bool zero = false;
    for (const HeadRecord& row : layout.rows) {
      if (row.cells.size() != layout.width) return {};
      for (std::size_t i = place + 1; i < layout.width; i += 2) {
        const std::string& text = row.cells[i].text;
        if (!few_digits(text) || text.size() != first.cells[i].text.size() || text.size() < 2) return {};
        zero = zero || text.front() == '0';
      }
    }
    if (!zero) return {};
    pairs.resize(pairs.size() + (layout.width - place) / 2, true);
    return pairs;
  }
  for (const std::string& name : layout.names) {
    const Guess guess = guess_of(name);
    pairs.push_back(guess != Guess::time && guess != Guess::date && guess != Guess::index && !name.empty());
  }
  const auto cut = static_cast<std::size_t>(std::count(pairs.begin(), pairs.end(), true));
  if (cut == 0 || layout.width != layout.names.size() + cut) return {};
  std::size_t whole = 0;
  for (const HeadRecord& row : layout.rows) {
    if (row.cells.size() != layout.width) continue;
    std::size_t at = 0;
    for (const bool pair : pairs) {
      if (pair && !few_digits(row.cells[at + 1].text)) return {};
      at += pair ? 2 : 1;
    }
    ++whole;
  }
  return whole > 0 ? pairs : std::vector<bool>{};
}

// The same rows with the pairs joined again; without those of which it cannot be told.
Layout joined(const Layout& layout, const std::vector<bool>& pairs) {
  Layout out = layout;
  out.width = pairs.size();
  out.rows.clear();
  for (const HeadRecord& row : layout.rows) {
    const auto cells = join_pairs(views_of(row), pairs);
    if (!cells) continue;
    HeadRecord& kept = out.rows.emplace_back(row);
    kept.cells.clear();
    for (const std::string& cell : *cells) kept.cells.push_back({cell, false, kind_of(cell)});
  }
  return out;
}

// "30 s", "0.5 min", "00:00:30": how far apart the samples were taken, as a line above the table says.
std::optional<double> said_interval(const std::vector<Metadata>& metadata) {
  for (const Metadata& line : metadata) {
    const auto words = words_of(line.key);
    const bool about = std::any_of(words.begin(), words.end(), [](const std::string& word) {
      return word == "interval" || word == "intervall" || word == "intervalo" || word == "intervalle" ||
             word == "period" || word == "cadence";
    });
    if (!about) continue;
    if (const auto length = parse_elapsed(line.value); length && *length > 0) return length;
    auto number = parse_quantity(line.value, Decimal::point);
    if (!number || number->unit.empty()) number = parse_quantity(line.value, Decimal::comma);
    if (!number || !(number->value > 0)) continue;
    auto unit = unit_named(number->unit);
    if (!unit) unit = unit_in(line.key);
    if (!unit || !is_time(unit->unit)) continue;
    return number->value * seconds_in(unit->unit);
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::vector<std::string>> join_pairs(const std::vector<std::string_view>& cells,
                                                   const std::vector<bool>& pairs) {
  std::size_t filled = cells.size();
  while (filled > pairs.size() && cells[filled - 1].empty()) --filled;
  if (filled < pairs.size()) return std::nullopt;
  // A cell that holds no number was not cut.
  std::size_t cut = 0;
  std::size_t at = 0;
  std::vector<bool> number(pairs.size(), false);
  const std::size_t wanted = filled - pairs.size();
  for (const bool all : {true, false}) {
    at = cut = 0;
    for (std::size_t i = 0; i < pairs.size() && at < filled; ++i) {
      number[i] = all && pairs[i] && kind_of(cells[at]) == Kind::number;
      cut += number[i] ? 1U : 0U;
      at += number[i] ? 2U : 1U;
    }
    if (cut == wanted && at == filled) break;
  }
  if (cut != wanted || at != filled) return std::nullopt;
  std::vector<std::string> out;
  at = 0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    std::string cell(cells[at++]);
    if (number[i]) {
      if (!few_digits(cells[at])) return std::nullopt;
      cell += "," + std::string(cells[at++]);
    }
    out.push_back(std::move(cell));
  }
  return out;
}

std::string_view name_of(Quantity quantity) {
  switch (quantity) {
    case Quantity::temperature:
      return "temperature";
    case Quantity::pressure:
    case Quantity::barometer:
      return "pressure";
    case Quantity::humidity:
      return "humidity";
    case Quantity::other:
      return "other";
  }
  return "other";
}

Columns find_columns(const Layout& layout, Decimal decimal, Delimiter delimiter, const NamedUnits& said) {
  const std::vector<bool> pairs = delimiter == Delimiter::comma ? find_pairs(layout) : std::vector<bool>{};
  if (!pairs.empty()) {
    const Layout whole = joined(layout, pairs);
    Columns columns = Finder(whole, Decimal::comma, said).find();
    columns.pairs = pairs;
    return columns;
  }
  return Finder(layout, decimal, said).find();
}

ChannelColumn long_channel(std::string name, std::string_view unit, const NamedUnits& said) {
  ChannelColumn out;
  out.name = std::move(name);
  for (const auto& [channel, text] : said) {
    if (channel != out.name) continue;
    out.unit = unit_named(text);
    out.unit_text = text;
  }
  if (!out.unit && !unit.empty()) {
    out.unit = unit_named(unit);
    out.unit_text = std::string(trimmed(unit));
  }
  if (!out.unit) {
    out.unit = unit_in(out.name);
    if (out.unit) out.unit_text = std::string(name_of(out.unit->unit));
  }
  const Guess guess = guess_of(out.name);
  if (out.unit && is_temperature(out.unit->unit))
    out.quantity = Quantity::temperature;
  else if (out.unit && is_pressure(out.unit->unit))
    out.quantity = guess == Guess::barometer ? Quantity::barometer : Quantity::pressure;
  else if (out.unit && out.unit->unit == Unit::percent)
    out.quantity = Quantity::humidity;
  else if (guess == Guess::temperature)
    out.quantity = Quantity::temperature;
  else if (guess == Guess::pressure)
    out.quantity = Quantity::pressure;
  else if (guess == Guess::humidity)
    out.quantity = Quantity::humidity;
  if (guess == Guess::ignored) out.quantity = Quantity::other;
  if (out.unit && out.unit->sense == Sense::unknown) out.unit->sense = sense_in(out.name);
  return out;
}

}  // namespace trayproof::reading
