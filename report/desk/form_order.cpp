#include "report/desk/form_order.h"

#include <algorithm>
#include <span>
#include <string_view>

#include "ledger/base/check.h"

namespace trayproof::desk {
namespace {

using Names = std::string_view;

constexpr Names packed[] = {"pack", "set", "wrap", "indicator_lot"};
constexpr Names load_started[] = {"packs", "load", "equipment", "method", "cycle", "solution"};
constexpr Names load_ended[] = {"load", "complete", "dry", "temperature_c", "pressure_kpa_gauge", "hold_min"};
constexpr Names load_changed[] = {"load", "added", "removed"};
constexpr Names load_released[] = {"load", "basis"};
constexpr Names procedure_done[] = {"packs", "patient", "procedure", "sort", "place"};
constexpr Names indicator_read[] = {"pack", "load", "result", "where"};
constexpr Names biological_read[] = {"load", "biological", "result", "control"};
constexpr Names solution_prepared[] = {"agent",         "use",         "solution",          "percent",
                                       "stock_percent", "stock_ml",    "available_percent", "powder_g",
                                       "water_ml",      "ready_to_use"};
constexpr Names solution_tested[] = {"solution", "percent", "strip", "lot"};
constexpr Names pack_received[] = {"pack", "from", "lot", "use_by"};
constexpr Names recall_answered[] = {"recall", "pack", "procedure", "outcome"};

struct Row {
  std::string_view kind;
  std::span<const Names> open;
};
constexpr Row rows[] = {
    {"packed", packed},
    {"load-started", load_started},
    {"load-ended", load_ended},
    {"load-changed", load_changed},
    {"load-released", load_released},
    {"procedure-done", procedure_done},
    {"indicator-read", indicator_read},
    {"biological-read", biological_read},
    {"solution-prepared", solution_prepared},
    {"solution-tested", solution_tested},
    {"pack-received", pack_received},
    {"recall-answered", recall_answered},
};

// In short forms everything stands open.
constexpr std::size_t fields_open_max = 6;

}  // namespace

FormOrder order_of(const events::Kind& kind) {
  FormOrder order;
  for (const Row& row : rows) {
    if (row.kind != kind.name) continue;
    for (const std::string_view name : row.open) {
      const events::Field* field = kind.field(name);
      CHECK(field != nullptr);
      order.open.push_back(field);
    }
  }
  const bool chosen = !order.open.empty();
  for (const events::Field& field : kind.fields) {
    if (std::find(order.open.begin(), order.open.end(), &field) != order.open.end()) continue;
    const bool open = field.needed == events::Needed::yes || (!chosen && kind.fields.size() <= fields_open_max);
    (open ? order.open : order.folded).push_back(&field);
  }
  return order;
}

}  // namespace trayproof::desk
