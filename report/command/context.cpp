#include "report/command/context.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include "ledger/words/words.h"
#include "report/command/pins.h"

namespace trayproof::command {

void Context::print(const json::Value& document) const { out << json::plain(document) << '\n'; }

void Context::tell(std::string_view text) const {
  if (!quiet) err << text << '\n';
}

Status Context::fail(const Error& error) const {
  err << "trayproof: " << error.sentence() << '\n';
  switch (error.code()) {
    case ErrorCode::invalid:
    case ErrorCode::missing:
    case ErrorCode::denied:
      return Status::refused;
    case ErrorCode::conflict:
    case ErrorCode::corrupt:
    case ErrorCode::unavailable:
    case ErrorCode::uncertain:
      return Status::broken;
  }
  return Status::broken;
}

int terminal_columns() {
  if (::isatty(STDOUT_FILENO) == 0) return 0;
  struct winsize window {};
  constexpr int usual = 80;
  return ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &window) == 0 && window.ws_col > 0 ? window.ws_col : usual;
}

Status Context::misused(std::string_view sentence) const {
  err << "trayproof: " << sentence << '\n';
  return Status::usage;
}

Result<Ledger> Context::open(store::Access access) const {
  auto ledger = Ledger::open(ledger_path, clock, access, drives);
  // A ledger that is not there is a matter of this machine, not of what was typed into it.
  if (!ledger.ok() && (ledger.error().code() == ErrorCode::missing || ledger.error().code() == ErrorCode::denied)) {
    return Error(ErrorCode::unavailable, ledger.error().sentence());
  }
  if (ledger.ok() && as && access == store::Access::write) TRY(sign_in(ledger.value(), *as, pin_fd));
  return ledger;
}

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

std::string count_text(std::int64_t value) { return std::to_string(value); }

}  // namespace trayproof::command
