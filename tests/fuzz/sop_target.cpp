#include "ledger/base/utf8.h"
#include "ledger/sop/kept.h"
#include "ledger/sop/sop.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// Everything that an edition states, so that two of them can be compared.
class Written {
 public:
  std::string of(const sop::Sop& sop) {
    put(sop.title), put(sop.edition), put(sop.approved_by), put(sop.confirmed);
    const sop::Decontamination& soak = sop.decontamination;
    put(soak.mode), put(soak.percent), put(soak.percent_tolerance), put(soak.percent_min), put(soak.percent_max);
    put(soak.soak_minutes_min), put(soak.soak_minutes_max), put(soak.life_hours), put(soak.test);
    for (const sop::Disinfectant& one : sop.disinfectants) {
      put(one.agent), put(one.percent_min), put(one.percent_max), put(one.temperature_c_min);
      put(one.disinfect_minutes), put(one.sterilize_hours), put(one.life_days), put(one.test);
    }
    put(sop.boiling_minutes), put(sop.washer_a0_min), put(sop.cleaning_hours_max), put(sop.cleaning_exempt_sets);
    put(sop.inside_indicator), put(sop.steam_saturation_k), put(sop.steam_pressure_slack_kpa);
    put(sop.steam_f0_reference_c), put(sop.steam_gap_seconds_max);
    for (const sop::SteamProgram& one : sop.steam_programs) {
      put(one.temperature_c), put(one.band_k), put(one.hold_minutes_wrapped), put(one.hold_minutes_unwrapped);
      put(one.f0_min);
    }
    for (const sop::DryHeatPair& one : sop.dry_heat_pairs) put(one.temperature_c), put(one.minutes);
    put(sop.biological_days), put(sop.biological_hours), put(sop.biological_methods), put(sop.air_removal);
    put(sop.release_methods), put(sop.release_roles), put(sop.release_second_person);
    put(sop.release_cooling_minutes), put(sop.release_hours_max);
    for (const auto& [wrap, life] : sop.shelf) put(wrap), put(life.days), put(life.until_damaged);
    put(sop.shelf_disinfected_days), put(sop.shelf_drum_open_hours);
    put(sop.records_late_hours), put(sop.records_very_late_hours), put(sop.records_clock_minutes);
    put(sop.records_burst_count), put(sop.records_burst_minutes), put(sop.records_burst_span_hours);
    put(sop.records_unused_hours), put(sop.records_alike_loads), put(sop.records_reading_k);
    put(sop.records_reading_minutes), put(sop.records_correct_alone_hours), put(sop.records_checkpoint_days);
    put(sop.records_backup_days), put(static_cast<int>(sop.recall_policy)), put(sop.recall_hours_max);
    put(sop.recall_days_max), put(sop.recall_drill_months);
    return std::move(out_);
  }

 private:
  void put(const std::string& text) { out_ += std::to_string(text.size()) + ":" + text + ","; }
  void put(double number) { out_ += std::to_string(number) + ","; }
  void put(bool yes) { out_ += yes ? "yes," : "no,"; }
  void put(int number) { out_ += std::to_string(number) + ","; }
  void put(sop::SoakMode mode) { put(static_cast<int>(mode)); }
  void put(sop::TestRule rule) { put(static_cast<int>(rule)); }
  void put(const std::vector<std::string>& texts) {
    for (const std::string& text : texts) put(text);
    out_ += ";";
  }
  template <typename T>
  void put(const std::optional<T>& limit) {
    if (limit)
      put(*limit);
    else
      out_ += "-,";
  }

  std::string out_;
};

}  // namespace

// An edition that is read is the same when read again, with a comment at its end, or with a table's order unchanged and
// other line ends.
void sop_file(std::string_view bytes) {
  const auto first = sop::read(bytes);
  const sop::Kept kept = sop::read_kept(bytes);
  for (const std::string& one : kept.unknown) must_hold(!first_bad_utf8(one), "what is not known is named as text");
  if (!first.ok()) {
    must_hold(first.error().code() == ErrorCode::invalid, "a refusal and no failure");
    must_hold(!first_bad_utf8(first.error().sentence()), "a refusal is text");
    return;
  }
  const std::string stated = Written().of(first.value());
  must_hold(kept.unknown.empty() && Written().of(kept.sop) == stated, "a kept edition is read as a given one");
  const auto again = sop::read(bytes);
  must_hold(again.ok() && Written().of(again.value()) == stated, "read again it is the same");
  const auto with_comment = sop::read(std::string(bytes) + "\n# the end");
  must_hold(with_comment.ok() && Written().of(with_comment.value()) == stated, "a comment states nothing");
}

}  // namespace trayproof::fuzz
