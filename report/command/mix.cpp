// Amounts for a solution. Works without a ledger; where there is one, its SOP tells the strength that is wanted.
#include "report/solutions/mix.h"

#include <algorithm>
#include <array>

#include "ledger/base/files.h"
#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/cautions/cautions.h"
#include "report/command/layout.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using solutions::Amounts;
using solutions::Form;

struct Agent {
  std::string_view name;
  Form form;
  bool chlorine;
};
constexpr std::array<Agent, 7> agents{{{"sodium-hypochlorite", Form::liquid, true},
                                       {"calcium-hypochlorite", Form::powder, true},
                                       {"bleaching-powder", Form::powder, true},
                                       {"glutaraldehyde", Form::liquid, false},
                                       {"ortho-phthalaldehyde", Form::liquid, false},
                                       {"peracetic-acid", Form::liquid, false},
                                       {"hydrogen-peroxide", Form::liquid, false}}};

// The edition in force now; nothing where there is no ledger here. A ledger that cannot be read is an error.
Result<std::optional<sop::Sop>> sop_in_force(const Context& context) {
  if (!file_exists(context.ledger_path)) return std::optional<sop::Sop>{};
  TRY_LET(const auto ledger, context.open(store::Access::read));
  TRY_LET(const auto editions, ledger.editions());
  const sop::Edition* edition = editions.at(context.clock.now());
  return edition == nullptr ? std::optional<sop::Sop>{} : std::optional(edition->sop);
}

struct Mixture {
  const Agent* agent = nullptr;
  double stock_percent = 0;
  double percent = 0;  // as wanted; backwards: as it came out
  Amounts exact;
  Amounts shown;  // as it can be measured
  bool backwards = false;
  bool percent_from_sop = false;
  std::optional<sop::Sop> sop = {};
};

std::optional<std::string> misuse_of(const MixOptions& options, const Agent*& agent) {
  const auto found =
      std::find_if(agents.begin(), agents.end(), [&](const Agent& one) { return one.name == options.agent; });
  if (found == agents.end()) {
    std::string names;
    for (const Agent& one : agents) names += (names.empty() ? "" : ", ") + std::string(one.name);
    return say("mix.agent", {{"found", options.agent}, {"agents", names}});
  }
  agent = &*found;
  if (options.stock_percent.has_value() == options.available_percent.has_value()) return say("mix.one-strength");
  const bool powder = agent->form == Form::powder;
  if (!powder && (options.available_percent || options.powder_g))
    return say("mix.liquid-stock", {{"agent", spelled_here(agent->name)}});
  if (powder && options.stock_ml) return say("mix.powder-stock", {{"agent", spelled_here(agent->name)}});
  const bool measured = options.stock_ml || options.powder_g || options.water_ml;
  const bool whole = (options.stock_ml || options.powder_g) && options.water_ml;
  if (measured != whole || measured == options.volume_l.has_value()) return say("mix.what");
  return std::nullopt;
}

Result<Mixture> mixture_of(const Context& context, const MixOptions& options, const Agent& agent) {
  Mixture out;
  out.agent = &agent;
  out.stock_percent = options.stock_percent ? *options.stock_percent : *options.available_percent;
  TRY_LET(out.sop, sop_in_force(context));
  out.backwards = !options.volume_l.has_value();
  if (out.backwards) {
    const double stock = options.stock_ml ? *options.stock_ml : *options.powder_g;
    out.exact = {.form = agent.form, .stock = stock, .water_ml = *options.water_ml};
    // Only to refuse what is no amount: a strength of a whole litre of such a stock.
    for (const double amount : {stock, *options.water_ml}) {
      TRY(solutions::amounts_for({agent.form, out.stock_percent, out.stock_percent, amount}));
    }
    out.shown = out.exact;
    out.percent = solutions::strength_of(out.exact, out.stock_percent);
    return out;
  }
  if (options.percent) {
    out.percent = *options.percent;
  } else {
    const bool stated = agent.chlorine && out.sop && out.sop->decontamination.percent;
    if (!stated) {
      return Error(ErrorCode::invalid, say("mix.no-percent", {{"agent", agent.name}, {"ledger", context.ledger_path}}));
    }
    out.percent = *out.sop->decontamination.percent;
    out.percent_from_sop = true;
  }
  TRY_LET(out.exact, solutions::amounts_for({agent.form, out.stock_percent, out.percent, *options.volume_l * 1000}));
  out.shown = solutions::measurable(out.exact);
  return out;
}

double six_decimals(double value) { return *parse_number(rounded(value, 6)); }

void print_json(const Context& context, const Mixture& mix) {
  json::Value out = json::Value::object();
  out.set("agent", mix.agent->name);
  const bool powder = mix.agent->form == Form::powder;
  out.set(powder ? "available_percent" : "stock_percent", mix.stock_percent);
  out.set(powder ? "powder_g" : "stock_ml", six_decimals(mix.exact.stock));
  out.set("water_ml", six_decimals(mix.exact.water_ml));
  out.set("percent", six_decimals(mix.percent)).set("ppm", six_decimals(mix.percent * solutions::ppm_of_percent));
  json::Value cautions = json::Value::list();
  for (const std::string& one : cautions_for({std::string(mix.agent->name)})) cautions.push(one);
  context.print(out.set("cautions", std::move(cautions)));
}

std::string right(const std::string& text, std::size_t width) {
  const std::size_t taken = display_width(text);
  return std::string(width > taken ? width - taken : 0, ' ') + text;
}

void print_recipe(const Context& context, const Mixture& mix) {
  const bool powder = mix.agent->form == Form::powder;
  const std::string strength = number_here(shortest(mix.stock_percent));
  const std::string stock = amount_here(mix.shown.stock, 3);
  const std::string water = amount_here(mix.shown.water_ml, 3);
  const std::size_t width = std::max({display_width(stock), display_width(water), std::size_t{8}});
  context.line(
      "  " + say(powder ? "mix.powder-g" : "mix.stock-ml", {{"amount", right(stock, width)}, {"strength", strength}}));
  if (mix.shown.water_ml > 0) context.line("  " + say("mix.water-ml", {{"amount", right(water, width)}}));
  context.line("");
  if (mix.shown.water_ml <= 0) return context.line(say("mix.undiluted"));
  const double given = solutions::strength_of(mix.shown, mix.stock_percent);
  const double below = powder ? mix.shown.water_ml : mix.shown.stock + mix.shown.water_ml;
  context.line(say("mix.check", {{"stock", stock},
                                 {"strength", strength},
                                 {"below", amount_here(below, 3)},
                                 {"percent", number_here(given, 4)},
                                 {"ppm", amount_here(given * solutions::ppm_of_percent, 0)}}));
  if (powder) {
    context.line(say("mix.grams", {{"grams", number_here(mix.exact.stock / mix.exact.water_ml * 1000, 2)}}));
  } else {
    context.line(say("mix.parts", {{"parts", number_here(mix.exact.water_ml / mix.exact.stock, 2)}}));
  }
}

void print_sop(const Context& context, const Mixture& mix) {
  if (!mix.sop || !mix.agent->chlorine) return;
  const sop::Sop& sop = *mix.sop;
  const auto wanted = sop.decontamination.percent;
  if (mix.percent_from_sop) {
    const std::string from = say("mix.from-sop", {{"title", sop.title}, {"edition", sop.edition}});
    context.line(folded(from, text_columns(context)));
  } else if (wanted && rounded(*wanted, 4) != rounded(mix.percent, 4)) {
    const std::string differs =
        say("mix.sop-differs",
            {{"title", sop.title}, {"edition", sop.edition}, {"percent", number_here(shortest(*wanted))}});
    context.line(folded(differs, text_columns(context)));
  }
  if (const auto hours = sop.decontamination.life_hours) {
    context.line(folded(say("mix.life", {{"hours", number_here(shortest(*hours))}}), text_columns(context)));
  }
}

void print_record_line(const Context& context, const Mixture& mix) {
  const bool powder = mix.agent->form == Form::powder;
  context.line("\n" + say("mix.record"));
  context.line("  trayproof record solution-prepared solution=ID use=USE \\");
  context.line("    agent=" + std::string(mix.agent->name) + " percent=" + rounded(mix.percent, 4) +
               (powder ? " available_percent=" : " stock_percent=") + shortest(mix.stock_percent) + " \\");
  context.line(std::string(powder ? "    powder_g=" : "    stock_ml=") + shortest(mix.shown.stock) +
               " water_ml=" + shortest(mix.shown.water_ml));
}

}  // namespace

Status mix(const Context& context, const MixOptions& options) {
  const Agent* agent = nullptr;
  if (const auto misuse = misuse_of(options, agent)) return context.misused(*misuse);
  const auto made = mixture_of(context, options, *agent);
  if (!made.ok()) return context.fail(made.error());
  const Mixture& mix = made.value();
  if (context.json) {
    print_json(context, mix);
    return Status::done;
  }
  if (mix.backwards) {
    context.line(say("mix.head-backwards", {{"agent", spelled_here(agent->name)}}) + "\n");
  } else {
    const std::string ppm = amount_here(mix.percent * solutions::ppm_of_percent, 0);
    context.line(say("mix.head", {{"volume", number_here(shortest(*options.volume_l))},
                                  {"agent", spelled_here(agent->name)},
                                  {"percent", number_here(shortest(mix.percent))},
                                  {"ppm", ppm}}) +
                 "\n");
  }
  print_recipe(context, mix);
  if (!mix.backwards) {
    const std::string form = say(agent->form == Form::powder ? "mix.form-powder" : "mix.form-liquid");
    context.line(folded(say("mix.into-water", {{"form", form}}), text_columns(context)));
  }
  print_sop(context, mix);
  print_record_line(context, mix);
  for (const std::string& one : cautions_for({std::string(agent->name)})) {
    context.line("\n" + folded(one, text_columns(context)));
  }
  return Status::done;
}

}  // namespace trayproof::command
