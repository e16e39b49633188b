// Many facilities' parcels made, taken in and derived, one after the other, and what each step cost. Called by
// register_bench.py, which asks the register afterwards.
//
//   bench_register_growth CONNINFO FACILITIES EVENTS [WAYS]     EVENTS of each facility, WAYS at once
#include <charconv>
#include <cstring>
#include <filesystem>
#include <mutex>
#include <thread>
#include <vector>

#include "report/register/derive.h"
#include "report/register/receive.h"
#include "tests/bench/floor.h"
#include "tests/bench/register_made.h"
#include "tests/support/folder.h"

using namespace trayproof;
using bench::must;

namespace {

std::int64_t number(const char* text) {
  std::int64_t value = 0;
  std::from_chars(text, text + std::strlen(text), value);
  return value;
}

struct Sums {
  std::mutex mutex;
  std::int64_t next = 0, facilities = 0, events = 0, rows = 0;
  std::uintmax_t bytes = 0;
  double making_s = 0, sending_s = 0, taking_s = 0, deriving_s = 0;
};

// Takes the next facility until there is none.
void work(const std::string& conninfo, const std::string& folder, const registry::WitnessKey& witness,
          std::int64_t facilities, std::int64_t events, Sums& sums) {
  SystemClock clock;
  auto connection = must(registry::Connection::open(conninfo));
  while (true) {
    std::int64_t mine = 0;
    {
      const std::lock_guard lock(sums.mutex);
      if (sums.next == facilities) return;
      mine = sums.next++;
    }
    const auto made = bench::make_parcel(folder, std::to_string(mine), events, 20);
    const auto bytes = std::filesystem::file_size(made.parcel);
    const double begun = bench::now_s();
    const auto arrived = must(parcel::Arrived::open(made.parcel));
    const auto done = must(registry::receive(connection, arrived, witness, clock.now()));
    if (done.outcome != registry::Outcome::taken || done.entries != made.events) std::exit(1);
    const double deriving = bench::now_s();
    const auto rows = must(registry::derive(connection, made.ledger, clock));
    const double ended = bench::now_s();
    for (const char* const ending : {"", ".parcel", ".keys", ".links"}) {
      std::error_code not_there;
      std::filesystem::remove(folder + "/" + std::to_string(mine) + ending, not_there);
    }
    const std::lock_guard lock(sums.mutex);
    sums.making_s += made.making_s, sums.sending_s += made.sending_s;
    sums.taking_s += deriving - begun, sums.deriving_s += ended - deriving;
    sums.events += made.events, sums.rows += rows, sums.bytes += bytes;
    if (++sums.facilities % 200 == 0)
      std::fprintf(stderr, "%lld facilities\n", static_cast<long long>(sums.facilities));
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 4) return std::fprintf(stderr, "bench_register_growth CONNINFO FACILITIES EVENTS [WAYS]\n"), 2;
  const std::int64_t facilities = number(argv[2]);
  const std::int64_t events = number(argv[3]);
  const std::int64_t ways = argc > 4 ? number(argv[4]) : 1;
  const tests::Folder folder;
  const auto witness = must(registry::WitnessKey::make(folder.file("key"), "bench.example/register"));
  Sums sums;
  const double begun = bench::now_s();
  std::vector<std::thread> threads;
  for (std::int64_t i = 0; i < ways; ++i)
    threads.emplace_back([&] { work(argv[1], folder.path(), witness, facilities, events, sums); });
  for (std::thread& one : threads) one.join();
  const auto a_event = [&](double seconds) { return seconds / static_cast<double>(sums.events) * 1e6; };
  std::printf(
      "grown     %lld facilities, %lld events, %.0f MB of parcels, %lld at once, %.0f s: an event made %.0f us, "
      "sent %.1f us, taken in %.1f us, derived %.0f us (%lld rows)\n",
      static_cast<long long>(sums.facilities), static_cast<long long>(sums.events),
      static_cast<double>(sums.bytes) / 1e6, static_cast<long long>(ways), bench::now_s() - begun,
      a_event(sums.making_s), a_event(sums.sending_s), a_event(sums.taking_s), a_event(sums.deriving_s),
      static_cast<long long>(sums.rows));
  return 0;
}
