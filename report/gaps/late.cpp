#include "report/gaps/late.h"

namespace trayproof::gaps {
namespace {

constexpr std::int64_t back_days = 30;

}  // namespace

bool can_be_late(const events::Kind& kind) { return kind.recordable() && kind.name != "corrected"; }

Told is_old_back_record(const Facts& facts, const Record& event) {
  return later(When::exactly({facts.created.ms - back_days * day_ms}), event.at);
}

std::int64_t back_records(const Facts& facts) {
  std::int64_t count = 0;
  for (const auto& [kind, records] : facts.records) {
    for (const Record& one : records) {
      if (can_be_late(*one.kind) && is_old_back_record(facts, one) == Told::yes) ++count;
    }
  }
  return count;
}

}  // namespace trayproof::gaps
