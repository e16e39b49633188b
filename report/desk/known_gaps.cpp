#include "report/desk/known_gaps.h"

#include "ledger/base/desk_limits.h"
#include "report/review/asked_gaps.h"

namespace trayproof::desk {
namespace {

bool is_of(const std::shared_ptr<const GapsAsOf>& one, std::int64_t known_at, Instant now) {
  return one && one->known_at == known_at && now.ms - one->as_of.ms < minute_ms;
}

}  // namespace

std::shared_ptr<const GapsAsOf> KnownGaps::last() const {
  const std::lock_guard lock(mutex_);
  return last_.at(static_cast<std::size_t>(language()));
}

Result<std::shared_ptr<const GapsAsOf>> KnownGaps::at_hand(Record::Reader& reader, Clock& clock) {
  TRY_LET(auto* tables, reader.tables());
  if (tables->known_at() <= limits::desk_gaps_at_once) return now(reader, clock);
  return last();
}

Result<std::shared_ptr<const GapsAsOf>> KnownGaps::now(Record::Reader& reader, Clock& clock) {
  TRY_LET(auto* tables, reader.tables());
  const Instant as_of = clock.now();
  if (auto known = last(); is_of(known, tables->known_at(), as_of)) return known;
  TRY_LET(const auto editions, reader.ledger().editions(tables->known_at()));
  if (editions.empty()) return std::shared_ptr<const GapsAsOf>();
  TRY_LET(auto found, review::find_gaps(reader.ledger(), *tables, as_of, {}));
  auto fresh = std::make_shared<const GapsAsOf>(GapsAsOf{std::move(found.findings), tables->known_at(), as_of});
  const std::lock_guard lock(mutex_);
  auto& kept = last_.at(static_cast<std::size_t>(language()));
  if (!kept || kept->known_at <= fresh->known_at) kept = fresh;
  return fresh;
}

}  // namespace trayproof::desk
