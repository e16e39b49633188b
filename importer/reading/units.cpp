#include "importer/reading/units.h"

#include <algorithm>
#include <array>
#include <initializer_list>
#include <span>

#include "importer/reading/records.h"

namespace trayproof::reading {
namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; }
bool is_word(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || (c & 0x80) != 0;
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
}

// Lower case, without blanks and dots, every way to write a degree sign or a square as one.
std::string folded(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c != ' ' && c != '.' && c != '\t' && c != '_') out += lower(c);
  }
  // A degree sign read in the wrong encoding, its look-alikes, and the one-character units of East Asian fonts.
  for (const std::string_view degree : {"Â°", "º", "˚", "\xEF\xBF\xBD", "\xEF\xBE\xB0"}) replace_all(out, degree, "°");
  replace_all(out, "℃", "°c");
  replace_all(out, "℉", "°f");
  replace_all(out, "¡æ", "°c");
  replace_all(out, "²", "2");
  replace_all(out, "^2", "2");
  replace_all(out, "\xC2\xA0", "");
  if (out.size() > 3 && out.starts_with("deg") && !out.starts_with("degree")) out.replace(0, 3, "°");
  if (out == "øc" || out == "'c" || out == "?c") return "°c";  // CP437 degree, apostrophe, lost sign
  if (out == "øf" || out == "'f" || out == "?f") return "°f";
  return out;
}

struct Spelling {
  std::string_view text;
  Unit unit;
};

constexpr auto spellings = std::to_array<Spelling>({
    {"°c", Unit::celsius},
    {"c", Unit::celsius},
    {"celsius", Unit::celsius},
    {"°celsius", Unit::celsius},
    {"degreesc", Unit::celsius},
    {"degreec", Unit::celsius},
    {"degreescelsius", Unit::celsius},
    {"degreecelsius", Unit::celsius},
    {"centigrade", Unit::celsius},
    {"gradc", Unit::celsius},
    {"grad", Unit::celsius},
    {"°f", Unit::fahrenheit},
    {"f", Unit::fahrenheit},
    {"fahrenheit", Unit::fahrenheit},
    {"°fahrenheit", Unit::fahrenheit},
    {"degreesf", Unit::fahrenheit},
    {"degreef", Unit::fahrenheit},
    {"degreesfahrenheit", Unit::fahrenheit},
    {"k", Unit::kelvin},
    {"kelvin", Unit::kelvin},
    {"°k", Unit::kelvin},
    {"kpa", Unit::kpa},
    {"kn/m2", Unit::kpa},
    {"hpa", Unit::hpa},
    {"mbar", Unit::hpa},
    {"mb", Unit::hpa},
    {"millibar", Unit::hpa},
    {"bar", Unit::bar},
    {"bars", Unit::bar},
    {"mpa", Unit::mpa},
    {"pa", Unit::pa},
    {"psi", Unit::psi},
    {"lb/in2", Unit::psi},
    {"lbf/in2", Unit::psi},
    {"lbs/in2", Unit::psi},
    {"kgf/cm2", Unit::kgf_cm2},
    {"kg/cm2", Unit::kgf_cm2},
    {"kgcm2", Unit::kgf_cm2},
    {"kgfcm2", Unit::kgf_cm2},
    {"mmhg", Unit::mmhg},
    {"torr", Unit::mmhg},
    {"inhg", Unit::inhg},
    {"\"hg", Unit::inhg},
    {"atm", Unit::atm},
    {"%", Unit::percent},
    {"%rh", Unit::percent},
    {"rh%", Unit::percent},
    {"rh", Unit::percent},
    {"percent", Unit::percent},
    {"%rf", Unit::percent},
    {"%hr", Unit::percent},
    {"ms", Unit::millisecond},
    {"msec", Unit::millisecond},
    {"milliseconds", Unit::millisecond},
    {"s", Unit::second},
    {"sec", Unit::second},
    {"secs", Unit::second},
    {"second", Unit::second},
    {"seconds", Unit::second},
    {"sek", Unit::second},
    {"segundos", Unit::second},
    {"secondes", Unit::second},
    {"min", Unit::minute},
    {"mins", Unit::minute},
    {"minute", Unit::minute},
    {"minutes", Unit::minute},
    {"minutos", Unit::minute},
    {"minuten", Unit::minute},
    {"h", Unit::hour},
    {"hr", Unit::hour},
    {"hrs", Unit::hour},
    {"hour", Unit::hour},
    {"hours", Unit::hour},
    {"days", Unit::day},
    {"day", Unit::day},
});

std::optional<Unit> spelled(std::string_view text) {
  for (const Spelling& one : spellings) {
    if (one.text == text) return one.unit;
  }
  return std::nullopt;
}

// Takes "(g)", "abs", "-a" … off the end of a folded pressure unit.
Sense cut_sense(std::string& text) {
  struct Ending {
    std::string_view text;
    Sense sense;
  };
  static constexpr auto endings = std::to_array<Ending>({
      {"relatif", Sense::gauge},
      {"relative", Sense::gauge},
      {"relativa", Sense::gauge},
      {"relativ", Sense::gauge},
      {"eff", Sense::gauge},
      {"absoluta", Sense::absolute},
      {"absolut", Sense::absolute},
      {"absolu", Sense::absolute},
      {"(gauge)", Sense::gauge},
      {"(gage)", Sense::gauge},
      {"(g)", Sense::gauge},
      {"(ü)", Sense::gauge},
      {"(rel)", Sense::gauge},
      {"-gauge", Sense::gauge},
      {"gauge", Sense::gauge},
      {"gage", Sense::gauge},
      {"rel", Sense::gauge},
      {"ü", Sense::gauge},
      {"man", Sense::gauge},
      {"(absolute)", Sense::absolute},
      {"(abs)", Sense::absolute},
      {"(a)", Sense::absolute},
      {"-absolute", Sense::absolute},
      {"absolute", Sense::absolute},
      {"-abs", Sense::absolute},
      {"abs", Sense::absolute},
      {"-g", Sense::gauge},
      {"-a", Sense::absolute},
      {"g", Sense::gauge},
      {"a", Sense::absolute},
  });
  if (spelled(text)) return Sense::unknown;  // "kpa" ends in an a of its own
  for (const Ending& one : endings) {
    if (!text.ends_with(one.text)) continue;
    const std::string rest = text.substr(0, text.size() - one.text.size());
    const auto unit = spelled(rest);
    if (!unit || !is_pressure(*unit)) continue;
    text = rest;
    return one.sense;
  }
  return Sense::unknown;
}

bool has(const std::vector<std::string>& words, std::initializer_list<std::string_view> wanted) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
    return std::find(wanted.begin(), wanted.end(), word) != wanted.end();
  });
}

bool numbered(const std::string& word, std::string_view stem) {
  if (!word.starts_with(stem)) return false;
  return std::all_of(word.begin() + static_cast<std::ptrdiff_t>(stem.size()), word.end(),
                     [](char c) { return c >= '0' && c <= '9'; });
}

bool any_numbered(const std::vector<std::string>& words, std::initializer_list<std::string_view> stems) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
    return std::any_of(stems.begin(), stems.end(), [&](std::string_view stem) { return numbered(word, stem); });
  });
}

// What stands in the last pair of brackets.
std::string_view bracketed(std::string_view text) {
  const std::size_t close = text.find_last_of(")]}");
  if (close == std::string_view::npos || close == 0) return {};
  const char opening = text[close] == ')' ? '(' : text[close] == ']' ? '[' : '{';
  int depth = 0;
  for (std::size_t at = close + 1; at-- > 0;) {
    if (text[at] == text[close]) ++depth;
    if (text[at] == opening && --depth == 0) return text.substr(at + 1, close - at - 1);
  }
  return {};
}

}  // namespace

bool is_temperature(Unit unit) { return unit <= Unit::kelvin; }
bool is_pressure(Unit unit) { return unit >= Unit::kpa && unit <= Unit::atm; }
bool is_time(Unit unit) { return unit >= Unit::millisecond; }

double seconds_in(Unit unit) {
  switch (unit) {
    case Unit::millisecond:
      return 0.001;
    case Unit::minute:
      return 60;
    case Unit::hour:
      return 3600;
    case Unit::day:
      return 86400;
    default:
      return 1;
  }
}

std::string_view name_of(Unit unit) {
  static constexpr std::array<std::string_view, 19> names = {"°C", "°F",  "K",       "kPa",  "hPa",  "bar", "MPa",
                                                             "Pa", "psi", "kgf/cm²", "mmHg", "inHg", "atm", "%",
                                                             "ms", "s",   "min",     "h",    "d"};
  return names[static_cast<std::size_t>(unit)];
}

std::optional<UnitName> unit_named(std::string_view text) {
  text = trimmed(text);
  while (text.size() > 2 &&
         ((text.front() == '(' && text.back() == ')') || (text.front() == '[' && text.back() == ']'))) {
    text = trimmed(text.substr(1, text.size() - 2));
  }
  if (text.empty() || text.size() > 24) return std::nullopt;
  std::string name = folded(text);
  const Sense sense = cut_sense(name);
  const auto unit = spelled(name);
  if (!unit) return std::nullopt;
  return UnitName{*unit, sense};
}

std::optional<UnitName> unit_in(std::string_view column) {
  column = trimmed(column);
  const std::string_view inner = bracketed(column);
  if (!inner.empty()) {
    auto found = unit_named(inner);
    // "psi (g)" and "bar (abs)": the bracket holds the sense, the unit stands before it.
    if (!found) {
      std::string_view before = column.substr(0, static_cast<std::size_t>(inner.data() - column.data()) - 1);
      const Sense sense = sense_in(inner);
      if (inner == "g" || inner == "a" || sense != Sense::unknown) {
        found = unit_in(before);
        if (found && is_pressure(found->unit))
          found->sense = inner == "g" ? Sense::gauge : inner == "a" ? Sense::absolute : sense;
        return found;
      }
      // "°C/min" in the bracket is a rate: no unit of a reading.
      return std::nullopt;
    }
    return found;
  }
  if (const auto whole = unit_named(column); whole && column.size() > 1) return whole;
  // The last one or two words: "Chamber kPa abs", "T_C", "Temp/°C", "temp.degC".
  for (std::size_t at = column.size(); at-- > 0;) {
    const char c = column[at];
    if (c != ' ' && c != '_' && c != '/' && c != ',' && c != ';' && c != ':' && c != '.' && c != '-') continue;
    const std::string_view tail = column.substr(at + 1);
    if (tail.empty()) continue;
    if (const auto found = unit_named(tail)) {
      // "TC-K" and "type K" name a sort of thermocouple, not kelvins.
      if (found->unit == Unit::kelvin && (c == ' ' || c == '-') && tail.size() == 1) {
        const auto words = words_of(column.substr(0, at));
        if (!words.empty() && has({words.back()}, {"tc", "type", "typ", "tipo", "thermocouple"})) return std::nullopt;
      }
      // "°C/min": what stands before the slash is itself a unit, so this is a rate.
      if (c == '/' && (unit_named(column.substr(0, at)) || unit_in(column.substr(0, at)))) return std::nullopt;
      return found;
    }
    if (column.size() - at > 16) break;
  }
  return std::nullopt;
}

Sense sense_in(std::string_view text) {
  const auto words = words_of(text);
  if (has(words, {"gauge", "gage", "rel", "relative", "relativ", "relatif", "relativa", "eff", "manometric",
                  "manométrique", "manométrica", "manometrica", "überdruck"}))
    return Sense::gauge;
  if (has(words, {"abs", "absolute", "absolut", "absolu", "absoluta", "absolue"})) return Sense::absolute;
  return Sense::unknown;
}

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  std::string word;
  const auto end = [&] {
    if (!word.empty()) words.push_back(std::move(word));
    word.clear();
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool capital = c >= 'A' && c <= 'Z';
    if (capital && i > 0 && text[i - 1] >= 'a' && text[i - 1] <= 'z') end();
    if (is_word(c)) {
      word += lower(c);
    } else {
      end();
    }
  }
  end();
  return words;
}

Guess guess_of(std::string_view column) {
  const auto words = words_of(column);
  const auto unit = unit_in(column);
  if (has(words,
          {"set",      "setpoint",  "sp",      "sv",         "target",      "soll",       "sollwert",   "consigna",
           "consigne", "demand",    "setting", "limit",      "alarm",       "threshold",  "rate",       "slope",
           "gradient", "delta",     "diff",    "difference", "avg",         "average",    "mean",       "mittel",
           "stddev",   "std",       "f0",      "fo",         "fh",          "a0",         "lethality",  "dew",
           "dewpoint", "mkt",       "humidex", "heatindex",  "theoretical", "calculated", "saturation", "tsat",
           "program",  "programme", "battery", "batt",       "vbat",        "setp"}) ||
      column.find("/h") != std::string_view::npos || column.find("/min") != std::string_view::npos ||
      column.find("/s)") != std::string_view::npos) {
    return Guess::ignored;
  }
  if (has(words, {"max", "maximum"}) || (has(words, {"min", "minimum"}) && unit && !is_time(unit->unit)))
    return Guess::ignored;
  if (has(words, {"baro", "barometer", "barometric", "atmospheric", "ambientpressure"}) ||
      (has(words, {"ambient", "room"}) && (has(words, {"pressure", "press"}) || (unit && is_pressure(unit->unit))))) {
    return Guess::barometer;
  }
  if (unit && is_temperature(unit->unit)) return Guess::temperature;
  if (unit && is_pressure(unit->unit)) return Guess::pressure;
  if (has(words, {"timestamp", "datetime", "epoch", "unix", "unixtime", "posix"})) return Guess::time;
  const bool time =
      has(words, {"time", "zeit", "uhrzeit", "hora", "heure", "elapsed", "tiempo", "temps", "ora", "clock", "tid",
                  "czas", "время", "Время", "时间", "時間", "laufzeit", "dauer", "runtime"});
  const bool date = has(words, {"date", "datum", "fecha", "data", "tag", "дата", "Дата", "日期", "日付", "dato"});
  if (date && !time) return Guess::date;
  if (time || (unit && is_time(unit->unit))) return Guess::time;
  if (unit && unit->unit == Unit::percent) return Guess::humidity;
  if (has(words, {"temperature", "temp", "temperatur", "temperatura", "température", "thermocouple", "pt100", "rtd",
                  "температура", "Температура", "温度"}) ||
      any_numbered(words, {"temp", "tc", "thermocouple", "pt100", "rtd", "temperature"})) {
    return Guess::temperature;
  }
  if (has(words, {"pressure", "press", "druck", "presion", "presión", "pression", "pressão", "pressao", "давление",
                  "Давление", "压力"}) ||
      any_numbered(words, {"pressure", "press"})) {
    return Guess::pressure;
  }
  // A place alone is where a probe hangs; "chamber pressure" was told above.
  if (has(words, {"tc", "chamber", "drain", "kammer"}) || any_numbered(words, {"probe"})) return Guess::temperature;
  if (has(words, {"humidity", "rh", "hum", "feuchte", "humedad", "humidité"})) return Guess::humidity;
  if (has(words, {"index", "idx", "no", "nr", "num", "number", "record", "sample", "row", "line", "serial", "id",
                  "count", "seq", "scan", "#", "point", "counter", "cycle"}) ||
      column == "#" || column == "№") {
    return Guess::index;
  }
  const bool counted = std::any_of(words.begin(), words.end(), [](const std::string& word) {
    return word.find_first_not_of("0123456789") == std::string::npos;
  });
  if (counted && has(words, {"channel", "kanal", "sensor", "canal", "input", "ch"})) return Guess::channel;
  if (has(words, {"channel", "kanal", "sensor", "canal", "parameter", "variable", "tag", "signal", "quantity", "name",
                  "input"})) {
    return Guess::long_channel;
  }
  if (has(words, {"value", "reading", "wert", "valor", "valeur", "measurement", "measured"})) return Guess::long_value;
  if (any_numbered(words, {"t"})) return Guess::temperature;
  if (any_numbered(words, {"ch", "channel", "sensor", "kanal", "canal", "cha", "input", "ai"})) return Guess::channel;
  if (any_numbered(words, {"p"})) return Guess::pressure;
  return Guess::none;
}

}  // namespace trayproof::reading
