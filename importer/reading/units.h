// Stage 6b: names of units and of quantities. Names only: factors are importer/physics' part.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayproof::reading {

enum class Unit {
  celsius,
  fahrenheit,
  kelvin,
  kpa,
  hpa,
  bar,
  mpa,
  pa,
  psi,
  kgf_cm2,
  mmhg,
  inhg,
  atm,
  percent,
  millisecond,
  second,
  minute,
  hour,
  day,
};

enum class Sense { unknown, gauge, absolute };

struct UnitName {
  Unit unit = Unit::celsius;
  Sense sense = Sense::unknown;  // "psig", "bar(a)"
};

bool is_temperature(Unit unit);
bool is_pressure(Unit unit);
bool is_time(Unit unit);
double seconds_in(Unit unit);  // of a unit of time
std::string_view name_of(Unit unit);  // "°C", "kPa", …

// The whole text is the name of a unit.
std::optional<UnitName> unit_named(std::string_view text);
// The unit that stands in a column's name: in brackets, after a slash, behind the last blank or underline.
std::optional<UnitName> unit_in(std::string_view column);
// "gauge", "abs", … anywhere in it.
Sense sense_in(std::string_view text);

// Lower case words of a name: split at everything that is no letter or digit, and where a capital follows a small
// letter.
std::vector<std::string> words_of(std::string_view text);

enum class Guess {
  none,
  temperature,
  pressure,
  humidity,
  barometer,
  time,
  date,
  channel,  // "CH1": of what, it does not say
  long_channel,
  long_value,
  index,
  ignored
};
// What a column's name says that it holds; `ignored` are set points, limits, rates and other derived columns.
Guess guess_of(std::string_view column);

}  // namespace trayproof::reading
