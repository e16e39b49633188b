#include "report/command/demo_files.h"

#include "ledger/base/embed.h"

TRAYPROOF_EMBED("trayproof_demo_events", TRAYPROOF_FACILITY "/events.jsonl");
TRAYPROOF_EMBED("trayproof_demo_drum_one", TRAYPROOF_FACILITY "/loggers/drum-autoclave-14-october.csv");
TRAYPROOF_EMBED("trayproof_demo_table_two", TRAYPROOF_FACILITY "/loggers/tabletop-15-and-16-october.csv");
TRAYPROOF_EMBED("trayproof_demo_table_one", TRAYPROOF_FACILITY "/loggers/tabletop-21-october.txt");
TRAYPROOF_EMBED("trayproof_demo_oven", TRAYPROOF_FACILITY "/loggers/oven-22-october.csv");
TRAYPROOF_EMBED("trayproof_demo_drum_two", TRAYPROOF_FACILITY "/loggers/drum-autoclave-24-and-25-october.txt");

extern "C" {
extern const char trayproof_demo_events[];
extern const char trayproof_demo_events_end[];
extern const char trayproof_demo_drum_one[];
extern const char trayproof_demo_drum_one_end[];
extern const char trayproof_demo_table_two[];
extern const char trayproof_demo_table_two_end[];
extern const char trayproof_demo_table_one[];
extern const char trayproof_demo_table_one_end[];
extern const char trayproof_demo_oven[];
extern const char trayproof_demo_oven_end[];
extern const char trayproof_demo_drum_two[];
extern const char trayproof_demo_drum_two_end[];
}

namespace trayproof::command {
namespace {

std::string_view between(const char* begin, const char* end) { return {begin, static_cast<std::size_t>(end - begin)}; }

}  // namespace

std::string_view demo_events() { return between(trayproof_demo_events, trayproof_demo_events_end); }

std::span<const DemoExport> demo_exports() {
  static const DemoExport exports[] = {
      {"drum-autoclave-14-october.csv", "autoclave-drum", "logger-1",
       between(trayproof_demo_drum_one, trayproof_demo_drum_one_end)},
      {"tabletop-15-and-16-october.csv", "autoclave-table", "logger-2",
       between(trayproof_demo_table_two, trayproof_demo_table_two_end)},
      {"tabletop-21-october.txt", "autoclave-table", "logger-2",
       between(trayproof_demo_table_one, trayproof_demo_table_one_end)},
      {"oven-22-october.csv", "oven-1", "logger-3", between(trayproof_demo_oven, trayproof_demo_oven_end)},
      {"drum-autoclave-24-and-25-october.txt", "autoclave-drum", "logger-1",
       between(trayproof_demo_drum_two, trayproof_demo_drum_two_end)},
  };
  return exports;
}

}  // namespace trayproof::command
