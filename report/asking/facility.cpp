#include "report/asking/facility.h"

#include "ledger/text/locale.h"

namespace trayproof {

Result<Facility> facility_of(const Ledger& ledger) {
  Facility facility;
  TRY_LET(const auto seqs, ledger.file().landmarks("facility-described"));
  for (const std::int64_t seq : seqs) {
    TRY_LET(auto entry, ledger.entry(seq));
    TRY_LET(auto event, json::parse(entry.bytes));
    // The correction with the highest seq holds.
    TRY_LET(const auto corrections, ledger.file().corrections_of(seq));
    if (!corrections.empty()) {
      TRY_LET(const auto correction, ledger.entry(corrections.back()));
      TRY_LET(const auto corrected, json::parse(correction.bytes));
      const json::Value* replacement = corrected.find("replacement");
      if (replacement == nullptr || !replacement->is_object()) continue;
      event = *replacement;
    }
    facility.title = event.text_at("title").value_or("");
    facility.altitude_m = event.number_at("altitude_m");
    if (auto zone = Zone::find(event.text_at("zone").value_or("")); zone.ok()) facility.zone = std::move(zone).value();
  }
  return facility;
}

std::optional<Instant> parse_moment(std::string_view text, const Zone& zone, DateMeans means) {
  if (const auto time = parse_date_time(text)) return time->instant;
  const auto date = parse_date(text);
  if (!date) return std::nullopt;
  if (means == DateMeans::start) return zone.start_of(*date);
  const Instant next = zone.start_of(date_of_days(days_since_epoch(*date) + 1));
  return Instant{next.ms - 1};
}

std::optional<Instant> parse_wall_clock(std::string_view text, const Zone& zone) {
  const auto as_utc = parse_date_time(std::string(text) + "Z");
  if (!as_utc) return std::nullopt;
  const auto instants = zone.instants(civil_of(as_utc->instant, 0));
  return instants.empty() ? std::nullopt : std::optional(instants.front());
}

std::string short_time(const Zone& zone, Instant at) { return minute_here(zone.local(at)); }

}  // namespace trayproof
