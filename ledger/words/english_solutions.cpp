#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> solutions() {
  static constexpr Word words[] = {
      {"help.mix", "amounts for a solution of a wanted strength, the check backwards and the cautions"},
      {"help.mix-agent",
       "sodium-hypochlorite, glutaraldehyde, ortho-phthalaldehyde, peracetic-acid or hydrogen-peroxide (liquids); "
       "calcium-hypochlorite or bleaching-powder (powders)"},
      {"help.mix-stock-percent", "strength of the stock liquid, from its label (of a powder: its available chlorine)"},
      {"help.mix-available-percent", "available chlorine of the powder, from its label"},
      {"help.mix-percent", "the wanted strength (default for chlorine: that of the SOP in force)"},
      {"help.mix-volume-l", "how many litres of solution"},
      {"help.mix-stock-ml", "backwards: the ml of stock that were measured"},
      {"help.mix-powder-g", "backwards: the grams of powder that were weighed"},
      {"help.mix-water-ml", "backwards: the ml of water"},
      {"help.mix-footer",
       "Examples:\n"
       "  trayproof mix --agent sodium-hypochlorite --stock-percent 5 --percent 0.5 --volume-l 10\n"
       "  trayproof mix --agent bleaching-powder --available-percent 35 --percent 0.5 --volume-l 10\n"
       "  trayproof mix --agent sodium-hypochlorite --stock-percent 5 --stock-ml 1000 --water-ml 9000"},

      {"mix.refused", "{option}: found {found}; allowed is a number above 0 and up to {most}"},
      {"mix.stock-weaker",
       "--percent: found {percent}; allowed is up to {stock}, the strength of the stock: no water makes it stronger"},
      {"mix.agent", "--agent: found \"{found}\"; allowed are {agents}"},
      {"mix.one-strength", "give one of --stock-percent and --available-percent: the strength on the label"},
      {"mix.powder-stock", "{agent} is a powder: give its --available-percent and weigh it in g"},
      {"mix.liquid-stock", "{agent} is a liquid: give its --stock-percent and measure it in ml"},
      {"mix.what", "give --volume-l for the amounts, or backwards the measured stock and --water-ml, not both"},
      {"mix.no-percent",
       "give --percent: no ledger with an SOP tells the strength for {agent} here ({ledger})"},
      {"mix.head", "{volume} {volume|litre|litres} of {agent}, {percent} % ({ppm} ppm)"},
      {"mix.head-backwards", "{agent}, from what was measured"},
      {"mix.from-sop", "The strength is that of the SOP in force: {title}, edition {edition}."},
      {"mix.sop-differs", "The SOP in force ({title}, edition {edition}) wants {percent} % for decontamination."},
      {"mix.stock-ml", "{amount} ml  of the {strength} % stock"},
      {"mix.powder-g", "{amount} g   of the powder with {strength} % available chlorine"},
      {"mix.water-ml", "{amount} ml  of water"},
      {"mix.undiluted", "Use it as it is: the stock has the wanted strength."},
      {"mix.check", "Check backwards: {stock} × {strength} % ÷ {below} = {percent} % ({ppm} ppm)."},
      {"mix.parts", "That is 1 part of stock to {parts} {parts|part|parts} of water."},
      {"mix.grams", "That is {grams} g to each litre of water."},
      {"mix.into-water", "Put the water in first, the {form} into it. Write strength, date and time on the container."},
      {"mix.form-liquid", "stock"},
      {"mix.form-powder", "powder"},
      {"mix.life", "By the SOP in force it is to be thrown away {hours} h after it was made, or when it is dirty."},
      {"mix.record", "To record it:"},
  };
  return words;
}

}  // namespace trayproof::english
