// Numbers of a register in the unit of their field: what a heading or the cell names is turned into it, and what
// cannot be turned is told. docs/registers.md is the authority; the factors of temperature and pressure are
// docs/physics.md's.
#pragma once

#include <optional>
#include <string_view>

#include "importer/reading/units.h"

namespace trayproof::registers {

enum class Volume { millilitre, litre };
enum class Mass { milligram, gram, kilogram };
enum class Share { ppm };

struct AmountUnit {
  std::optional<reading::UnitName> known;  // temperature, pressure, time, percent
  std::optional<Volume> volume;
  std::optional<Mass> mass;
  std::optional<Share> share;
};

// The whole text is the name of a unit.
std::optional<AmountUnit> unit_of(std::string_view text);
// The unit that a heading names.
std::optional<AmountUnit> unit_in_heading(std::string_view heading);

// The unit of the field, by its name, for people: "°C", "kPa gauge"; empty where it is a bare number.
std::string_view unit_of_field(std::string_view field);
// In the field's unit, rounded to 6 decimals; nothing where that unit is none of the field's quantity. `changed` is
// told whether it stood in another unit.
struct Turned {
  double value = 0;
  bool changed = false;
};
std::optional<Turned> in_unit_of_field(double value, const AmountUnit& unit, std::string_view field);

}  // namespace trayproof::registers
