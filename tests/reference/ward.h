// An invented ward at work: it packs, loads, reads, decides, stores, uses, and is not careful about any of it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/text/json.h"
#include "tests/reference/dice.h"

namespace trayproof::reference {

class Ward {
 public:
  Ward(Dice& dice, const Zone& zone, Instant opens);
  // Registers what the ward owns, then works until it has written about that many events.
  void work(std::size_t events_wanted);
  // A data-logger's curve of a load, as the importer writes it; the placing is the caller's.
  void measure_curves();

  // In order of happening, more or less; each with a `paper` of its own, so that none repeats another.
  std::vector<json::Value> events;
  std::vector<std::string> loads, packs, sets, equipment, loggers, solutions, lots, procedures;
  std::vector<std::string> prevacuum;  // the sterilizers that need air removal
  std::vector<Instant> checked;        // times of equipment checks
  Instant now() const { return now_; }

  std::string fresh(const std::string& thing);
  std::string stamp(Instant at);

 private:
  struct Device {
    std::string id;
    std::string sort;
    std::vector<std::string> methods;
  };
  struct Span {
    Instant from;
    Instant until;
  };

  void own_equipment();
  void own_supplies();
  void define_set(const std::string& set);
  void prepare_solution();
  void check_equipment();
  void turn_and_pack();
  void receive_pack();
  void run_load();
  json::Value load_of(const Device& device, const std::string& load);
  void change_load(const std::string& load, const Span& span);
  void end_load(const std::string& load, const Span& span);
  void read_indicators(const std::string& load, const std::vector<std::string>& held, Instant from);
  void read_biological(const std::string& load, Instant from);
  void decide(const std::string& load, Instant from);
  void move_pack();
  void do_procedure();
  void remark();
  std::vector<std::string> some_packs(std::int64_t most);
  std::string patient();

  json::Value event(const std::string& kind);
  // Adds a field, or now and then says instead that it is not known.
  void put(json::Value& event, const std::string& field, json::Value value, int unknown_percent = 0);
  void emit(json::Value event, Instant at);
  Instant after(Instant from, std::int64_t low_minutes, std::int64_t high_minutes);
  void wait();

  Dice& dice_;
  Zone zone_;
  Instant now_;
  std::int64_t number_ = 0;
  std::vector<Device> devices_;
  std::vector<std::string> indicator_lots_, biological_lots_, wrap_lots_, disinfectant_lots_, other_lots_;
  std::vector<std::string> soaks_;      // decontamination solutions
  std::vector<std::string> baths_;      // solutions that disinfect or sterilize, or whose use nobody wrote down
  std::vector<std::string> waiting_;    // packed and in no load yet
  std::vector<std::string> processed_;  // in a load once
  std::vector<std::string> patients_;
  std::vector<Span> load_spans_;
};

}  // namespace trayproof::reference
