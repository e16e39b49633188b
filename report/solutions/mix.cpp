#include "report/solutions/mix.h"

#include <cmath>

#include "ledger/base/limits.h"
#include "ledger/base/number.h"
#include "ledger/words/words.h"

namespace trayproof::solutions {
namespace {

Result<void> within(std::string_view option, double found, double most) {
  if (std::isfinite(found) && found > 0 && found <= most) return {};
  const std::string shown = std::isfinite(found) ? shortest(found) : say("sop.found-not-finite");
  return Error(ErrorCode::invalid,
               say("mix.refused", {{"option", option}, {"found", shown}, {"most", shortest(most)}}));
}

double three_figures(double amount) {
  const double scale = amount >= 100 ? 1 : amount >= 10 ? 10 : amount >= 1 ? 100 : 1000;
  return std::round(amount * scale) / scale;
}

}  // namespace

Result<Amounts> amounts_for(const Wanted& wanted) {
  constexpr double all_of_it = 100;
  const bool powder = wanted.form == Form::powder;
  TRY(within(powder ? "--available-percent" : "--stock-percent", wanted.stock_percent, all_of_it));
  TRY(within("--percent", wanted.percent, all_of_it));
  TRY(within("--volume-l", wanted.volume_ml / 1000, limits::mix_litres_max));
  if (wanted.percent > wanted.stock_percent) {
    return Error(ErrorCode::invalid, say("mix.stock-weaker", {{"stock", shortest(wanted.stock_percent)},
                                                              {"percent", shortest(wanted.percent)}}));
  }
  Amounts out{.form = wanted.form};
  out.stock = wanted.volume_ml * wanted.percent / wanted.stock_percent;
  out.water_ml = powder ? wanted.volume_ml : wanted.volume_ml - out.stock;
  return out;
}

double strength_of(const Amounts& amounts, double stock_percent) {
  const double below = amounts.form == Form::powder ? amounts.water_ml : amounts.stock + amounts.water_ml;
  return stock_percent * amounts.stock / below;
}

Amounts measurable(const Amounts& exact) {
  Amounts out{.form = exact.form, .stock = three_figures(exact.stock), .water_ml = exact.water_ml};
  if (exact.form == Form::liquid) out.water_ml = std::fmax(0, three_figures(exact.stock + exact.water_ml - out.stock));
  return out;
}

}  // namespace trayproof::solutions
