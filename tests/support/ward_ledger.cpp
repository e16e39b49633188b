#include "tests/support/ward_ledger.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/time.h"
#include "ledger/sop/default.h"

namespace trayproof::tests {
namespace {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "test ledger: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

}  // namespace

Instant noon() { return parse_date_time("2026-10-05T12:00:00+05:00")->instant; }

Creation creation() {
  Creation creation;
  creation.title = "Invented ward";
  creation.zone = "Etc/GMT-5";
  creation.altitude_m = 120;
  creation.sop_toml = std::string(sop::default_sop());
  return creation;
}

json::Value event_of(std::string_view text) { return must(json::parse(text)); }

Ledger opened(const std::string& path, Clock& clock, store::Access access) {
  return must(Ledger::open(path, clock, access));
}

WardLedger::WardLedger() : clock_(noon()), ledger_(must(Ledger::create(path(), creation(), clock_))) {}

void WardLedger::reopen() { ledger_ = opened(path(), clock_); }

Appended WardLedger::record(std::string_view lines, OnRefusal on_refusal) {
  AppendOptions options;
  options.on_refusal = on_refusal;
  return must(ledger_.append_lines(lines, options));
}

Appended WardLedger::append(std::vector<json::Value> events, AppendOptions options) {
  std::vector<GivenEvent> given;
  for (json::Value& event : events) given.push_back({static_cast<std::int64_t>(given.size()) + 1, std::move(event)});
  return must(ledger_.append(std::move(given), options));
}

std::int64_t WardLedger::take(std::string_view lines) {
  const Appended report = record(lines);
  for (const events::Refusal& one : report.refusals) {
    std::fprintf(stderr, "test ledger: line %lld, %s: %s\n", static_cast<long long>(one.line), one.field.c_str(),
                 one.why.c_str());
  }
  if (!report.refusals.empty()) std::abort();
  return report.last;
}

std::vector<std::string> WardLedger::refusals(std::string_view lines) {
  const Appended report = record(lines);
  std::vector<std::string> texts;
  for (const events::Refusal& one : report.refusals) texts.push_back(one.field + ": " + one.why);
  return texts;
}

std::string WardLedger::bytes_of(std::int64_t seq) { return must(ledger_.entry(seq)).bytes; }
json::Value WardLedger::entry(std::int64_t seq) { return event_of(bytes_of(seq)); }
std::int64_t WardLedger::size() { return must(ledger_.head()).seq; }

std::vector<std::string> problems(Ledger& ledger, Depth depth) {
  const auto found = verify(ledger, depth);
  if (!found.ok()) return {"not possible: " + found.error().sentence()};
  std::vector<std::string> texts;
  for (const Problem& one : found.value().problems) {
    texts.push_back((one.seq ? std::to_string(*one.seq) : std::string("beside")) + ": " + one.what);
  }
  return texts;
}

std::string file_bytes(const std::string& path) {
  const Bytes bytes = must(read_file(path, limits::record_file_bytes));
  return std::string(as_text(bytes));
}

bool holds(std::string_view text, std::string_view part) { return text.find(part) != std::string_view::npos; }

bool any_holds(const std::vector<std::string>& texts, std::string_view part) {
  return std::any_of(texts.begin(), texts.end(), [&](const std::string& text) { return holds(text, part); });
}

std::string joined(const std::vector<std::string>& texts) {
  std::string all;
  for (const std::string& text : texts) all += text + "\n";
  return all;
}

}  // namespace trayproof::tests
