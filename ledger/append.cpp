// Appending: one batch, one transaction, one commit; what is acknowledged is on the disk.
#include "ledger/given_numbers.h"
#include "ledger/ledger_state.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

// From how many on entries are written while the next are still read; a thread for fewer costs more than it brings.
constexpr std::size_t many_events = 32;
constexpr std::size_t many_lines = 2000;
constexpr std::size_t ahead_every = 16;

// Forgets the patients of a transaction that does not come to its commit.
class PatientsGuard {
 public:
  explicit PatientsGuard(KnownPatients& patients) : patients_(&patients) {}
  PatientsGuard(const PatientsGuard&) = delete;
  PatientsGuard& operator=(const PatientsGuard&) = delete;
  ~PatientsGuard() {
    if (patients_ != nullptr) patients_->undo();
  }
  void commit(Batch& batch) {
    batch.committed();
    patients_ = nullptr;
  }

 private:
  KnownPatients* patients_;
};

Result<void> commit(store::Transaction& transaction, Batch& batch, PatientsGuard& guard, Clock& clock,
                    ClockSeen& seen) {
  TRY(transaction.commit());
  guard.commit(batch);
  seen = ClockSeen::on(clock);
  return {};
}

// Begins, lets `fill` add to the batch, and commits when something is taken.
Result<Appended> run_batch(const Writer& writer, const AppendOptions& options, ClockSeen& seen,
                           const std::function<Result<void>(Batch&)>& fill) {
  TRY_LET(auto transaction, writer.file.begin());
  PatientsGuard guard(writer.patients);
  TRY_LET(auto batch, Batch::begin(writer, options));
  TRY(fill(batch));
  TRY_LET(auto report, batch.finish());
  if (report.taken == 0 || options.rehearse) return report;  // the transaction is rolled back
  TRY(commit(transaction, batch, guard, writer.clock, seen));
  return report;
}

// All of them in one commit; nothing when one of their events is refused.
Result<std::optional<std::vector<Appended>>> run_together(const Writer& writer, std::span<const Appending> all,
                                                          ClockSeen& seen) {
  TRY_LET(auto transaction, writer.file.begin());
  PatientsGuard guard(writer.patients);
  TRY_LET(auto batch, Batch::begin(writer, all.front().options));
  for (const Appending& one : all) {
    for (const GivenEvent& given : one.events) know_numbers_of(given.event, batch.numbers());
  }
  std::vector<std::size_t> ends;
  for (const Appending& one : all) {
    batch.under(one.options);
    for (const GivenEvent& given : one.events) {
      TRY(batch.add_given(given));
      if (batch.refused()) return std::optional<std::vector<Appended>>{};
    }
    ends.push_back(batch.given());
  }
  AppendOptions all_or_nothing;
  batch.under(all_or_nothing);
  TRY_LET(const auto report, batch.finish());
  if (!report.refusals.empty()) return std::optional<std::vector<Appended>>{};
  if (report.taken > 0) TRY(commit(transaction, batch, guard, writer.clock, seen));
  std::vector<Appended> parts;
  for (std::size_t i = 0; i < ends.size(); ++i) parts.push_back(batch.part(i == 0 ? 0 : ends[i - 1], ends[i]));
  return std::optional(std::move(parts));
}

}  // namespace

Writer Ledger::writer_under(const sop::Editions& editions) {
  State& state = *state_;
  const ClockSeen& seen = state.clock_seen;
  const auto passed_ms = static_cast<std::int64_t>((state.clock->seconds() - seen.seconds) * 1000);
  Writer writer{.file = state.file,
                .keys = *state.keys,
                .clock = *state.clock,
                .station = state.keys->station,
                .patients = *state.patients,
                .clock_minutes = 5,
                .signer = state.signer,
                .station_key_in_force = state.station_key_in_force,
                .expected_clock = Instant{seen.now.ms + passed_ms},
                .may = [this](people::Right right, const std::shared_ptr<const people::Signer>& signer) {
                  return may(right, signer);
                }};
  if (const sop::Edition* edition = editions.at(state.clock->now())) {
    writer.clock_minutes = edition->sop.records_clock_minutes;
  }
  return writer;
}

Result<Appended> Ledger::append(std::vector<GivenEvent> events, const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto* known, present_editions());
  const Writer writer = writer_under(*known);
  return run_batch(writer, options, state_->clock_seen, [&](Batch& batch) -> Result<void> {
    for (const GivenEvent& one : events) know_numbers_of(one.event, batch.numbers());
    for (std::size_t i = 0; i < events.size(); ++i) {
      TRY(batch.add_given(std::move(events[i])));
      if (i % ahead_every == 0) TRY(batch.write_ahead(many_events));
    }
    return {};
  });
}

std::vector<Result<Appended>> Ledger::append_together(std::span<const Appending> all) {
  const auto each_alone = [&] {
    std::vector<Result<Appended>> outcomes;
    for (const Appending& one : all) {
      const Speaking speaking(one.spoken);
      outcomes.push_back(append(one.events, one.options));
    }
    return outcomes;
  };
  if (all.size() < 2) return each_alone();
  const auto together = [&]() -> Result<std::optional<std::vector<Appended>>> {
    TRY(may_write());
    TRY_LET(const auto* known, present_editions());
    const Writer writer = writer_under(*known);
    return run_together(writer, all, state_->clock_seen);
  };
  auto done = together();
  if (!done.ok() && done.error().code() == ErrorCode::uncertain) {
    return std::vector<Result<Appended>>(all.size(), Error(done.error()));
  }
  // A refusal of one, or a key of one that signs no more, is not the others' business.
  if (!done.ok() || !done.value()) return each_alone();
  std::vector<Result<Appended>> outcomes;
  for (Appended& one : *done.value()) outcomes.emplace_back(std::move(one));
  return outcomes;
}

Result<Appended> Ledger::append_planned(const std::function<std::vector<GivenEvent>(std::int64_t)>& plan,
                                        const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto* known, present_editions());
  const Writer writer = writer_under(*known);
  AppendOptions each_new = options;
  each_new.same_content_repeats = false;
  return run_batch(writer, each_new, state_->clock_seen, [&](Batch& batch) -> Result<void> {
    for (GivenEvent& one : plan(batch.first_seq())) TRY(batch.add_given(std::move(one)));
    return {};
  });
}

Result<Appended> Ledger::append_lines(std::string_view lines, const AppendOptions& options) {
  TRY(may_write());
  TRY_LET(const auto* known, present_editions());
  const Writer writer = writer_under(*known);
  return run_batch(writer, options, state_->clock_seen, [&](Batch& batch) -> Result<void> {
    know_numbers_in(lines, batch.numbers());
    LineReader reader(lines, batch.reading_rules());
    for (auto chunk = reader.next(); !chunk.empty(); chunk = reader.next()) {
      for (ReadEvent& one : chunk) TRY(batch.add(std::move(one)));
      TRY(batch.write_ahead(many_lines));
    }
    return {};
  });
}

}  // namespace trayproof
