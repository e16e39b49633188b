#include "report/gaps/late.h"

namespace trayproof::gaps {
namespace {

constexpr std::int64_t back_days = 30;

}  // namespace

bool can_be_late(const events::Kind& kind) { return kind.recordable() && kind.name != "corrected"; }

Told is_old_back_record(const Facts& facts, const Record& event) {
  return later(When::exactly(back_records_end(facts)), event.at);
}

Instant back_records_end(const Facts& facts) { return {facts.created.ms - back_days * day_ms}; }

}  // namespace trayproof::gaps
