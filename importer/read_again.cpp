#include "importer/read_again.h"

#include <algorithm>

#include "importer/attached_source.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using json::Value;

std::optional<std::string> text_of(const Value& value, std::string_view name) {
  const auto text = value.text_at(name);
  return text ? std::optional<std::string>(*text) : std::nullopt;
}

// What must be alike for two curves to come out of one reading.
struct Export {
  Digest file{};
  Source source;
  Value reading;
  std::optional<double> error_k;

  bool operator==(const Export& other) const {
    return file == other.file && source.equipment == other.source.equipment && source.logger == other.source.logger &&
           error_k == other.error_k && json::canonical(reading) == json::canonical(other.reading);
  }
};

struct Place {
  std::size_t index = 0;  // among those wanted
  std::optional<std::string> load;
  Instant from;
  Instant until;
};

struct Job {
  Export of;
  std::vector<Place> places;
};

Result<std::vector<Job>> jobs_of(std::vector<WantedCurve>& wanted) {
  std::vector<Job> jobs;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    const Value& measured = wanted[i].measured;
    const auto from = parse_date_time(measured.text_at("from").value_or(""));
    const auto until = parse_date_time(measured.text_at("until").value_or(""));
    const Value* reading = measured.find("reading");
    Export of;
    of.source.equipment = text_of(measured, "equipment").value_or("");
    of.source.logger = text_of(measured, "logger");
    if (reading != nullptr) of.reading = *reading;
    of.error_k = wanted[i].error_k;
    if (!from || !until || reading == nullptr || !from_hex(measured.text_at("file").value_or(""), of.file)) {
      const auto seq = static_cast<std::int64_t>(measured.number_at("seq").value_or(0));
      return Error(ErrorCode::corrupt, say("importer.not-a-curve", {{"seq", std::to_string(seq)}}));
    }
    auto job = std::find_if(jobs.begin(), jobs.end(), [&](const Job& one) { return one.of == of; });
    if (job == jobs.end()) job = jobs.insert(job, {.of = std::move(of), .places = {}});
    job->places.push_back(
        {.index = i, .load = std::move(wanted[i].load), .from = from->instant, .until = until->instant});
  }
  return jobs;
}

// The place of each curve stands for the times of its load: the load is taken to last as long as the curve, its
// programme stays. A curve whose load is not known is not read.
Result<std::vector<KnownLoad>> placed(links::Links& tables, std::vector<Place>& places,
                                      const std::vector<KnownLoad>& known, const std::string& equipment,
                                      std::vector<CurveAgain>& out) {
  std::vector<KnownLoad> loads;
  std::vector<Place> with_load;
  for (const Place& place : places) {
    if (!place.load) {
      with_load.push_back(place);
      continue;
    }
    const auto found =
        std::find_if(known.begin(), known.end(), [&](const KnownLoad& one) { return one.load == *place.load; });
    std::optional<KnownLoad> load = found == known.end() ? std::nullopt : std::optional(*found);
    if (!load) {
      TRY_LET(load, known_load(tables, *place.load));
    }
    if (!load) {
      out[place.index].missing = say("importer.no-such-load", {{"load", *place.load}, {"equipment", equipment}});
      continue;
    }
    load->started = {place.from, place.from};
    load->ended = Span{place.until, place.until};
    loads.push_back(std::move(*load));
    with_load.push_back(place);
  }
  places = std::move(with_load);
  return loads;
}

Result<void> read_export(const Ledger& ledger, links::Links& tables, const sop::Editions& editions, Job& job,
                         ReadAgain& out) {
  TRY_LET(auto around, surroundings(ledger, tables, editions, job.of.source));
  around.error_k = job.of.error_k;
  TRY_LET(around.loads, placed(tables, job.places, around.loads, job.of.source.equipment, out.curves));
  if (job.places.empty()) return {};
  auto opened = AttachedSource::open(ledger, job.of.file);
  if (!opened.ok() && opened.error().code() == ErrorCode::missing) {
    for (const Place& place : job.places) out.curves[place.index].missing = opened.error().sentence();
    return {};
  }
  TRY_LET(auto bytes, std::move(opened));
  const Listener listener{.begin =
                              [&] {
                                for (const Place& place : job.places) out.curves[place.index].cycle.reset();
                              },
                          .cycle =
                              [&](const judging::Series& series, const judging::Stretch&, const Cycle& cycle) {
                                if (!cycle.from) return;
                                for (const Place& place : job.places) {
                                  CurveAgain& curve = out.curves[place.index];
                                  if (curve.cycle || cycle.from->ms / second_ms != place.from.ms / second_ms) continue;
                                  curve.cycle = cycle;
                                  curve.series = series;
                                }
                              },
                          .progress = {}};
  TRY_LET(Import import, read_and_judge(bytes, choices_of(job.of.reading), around, listener));
  ++out.exports_read;
  import.file = job.of.file;
  import.bytes = bytes.bytes().value_or(0);
  import.cycles.clear();
  const auto shared = std::make_shared<const Import>(std::move(import));
  for (const Place& place : job.places) {
    out.curves[place.index].import = shared;
    if (!shared->asks.empty()) out.curves[place.index].cycle.reset();
  }
  return {};
}

}  // namespace

Result<ReadAgain> read_again(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                             std::vector<WantedCurve> wanted) {
  ReadAgain out;
  out.curves.resize(wanted.size());
  TRY_LET(auto jobs, jobs_of(wanted));
  for (Job& job : jobs) TRY(read_export(ledger, tables, editions, job, out));
  return out;
}

}  // namespace trayproof::importer
