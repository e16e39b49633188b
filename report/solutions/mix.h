// Solution arithmetic: how much of a stock liquid or powder makes a volume of the wanted strength, and backwards, what
// the amounts that somebody measured give. Pure numbers; strengths in per cent, volumes in ml, weights in g.
//
// Liquids (CDC, Cleaning in Global Healthcare Facilities, appendix E): parts of water to one part of stock are
// stock / wanted - 1, made up to the volume. Powders (same): grams to the litre of water are wanted / available * 1000.
// One per cent is 10 g in a litre, or 10,000 parts in a million. The rule `recipe-off-target` reads recipes likewise.
#pragma once

#include <optional>

#include "ledger/base/result.h"

namespace trayproof::solutions {

enum class Form { liquid, powder };

struct Wanted {
  Form form = Form::liquid;
  double stock_percent = 0;  // of a powder: the available chlorine
  double percent = 0;
  double volume_ml = 0;  // of the solution; of a powder: the water
};

struct Amounts {
  Form form = Form::liquid;
  double stock = 0;  // ml, or g of a powder
  double water_ml = 0;
};

// Invalid with what was found and what is allowed: a strength that is none, a stock weaker than what is wanted.
Result<Amounts> amounts_for(const Wanted& wanted);
// The strength that these amounts give. `stock_percent` as in Wanted; the water must not be nothing for a powder.
double strength_of(const Amounts& amounts, double stock_percent);
// To what a measuring cup or a kitchen scale shows: three figures, whole ml and g above a hundred. The water of a
// liquid makes up what the rounded stock leaves of the volume.
Amounts measurable(const Amounts& exact);

inline constexpr double ppm_of_percent = 10'000;

}  // namespace trayproof::solutions
