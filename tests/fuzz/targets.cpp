#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

constexpr Target table[] = {
    {"json-reader", json_reader, 100'000, 4096},
    {"event-line", event_line, 60'000, 4096},
    {"given-numbers", given_numbers, 40'000, 4096},
    {"record-file", record_file, 60, 8192},
    {"signed-note", signed_note, 100'000, 2048},
    {"proof-text", proof_text, 100'000, 4096},
    {"sop-file", sop_file, 10'000, 8192},
    {"key-file", key_file, 10'000, 4096},
    {"logger-text", logger_text, 50'000, 4096},
    {"logger-records", logger_records, 20'000, 4096},
    {"logger-reading", logger_reading, 3'000, 8192},
    {"logger-written", logger_written, 4'000, 2048},
    {"curve-bytes", curve_bytes, 20'000, 4096},
    {"curve-judging", curve_judging, 1'500, 1024},
    {"evidence-pack", evidence_pack, 2'000, 1 << 16},
    {"parcel", parcel_file, 20'000, 1 << 16},
    {"logger-import", logger_import, 2'000, 8192},
    {"picture", picture, 2'000, 24576},
};

constexpr Target planted = {"canary", planted_bug, 20'000, 256};

}  // namespace

std::span<const Target> targets() { return table; }
const Target& canary() { return planted; }

const Target* find_target(std::string_view name) {
  if (name == planted.name) return &planted;
  const auto* const found =
      std::find_if(std::begin(table), std::end(table), [&](const Target& one) { return one.name == name; });
  return found == std::end(table) ? nullptr : found;
}

void must_hold(bool property, std::string_view name) {
  if (property) return;
  std::fprintf(stderr, "does not hold: %.*s\n", static_cast<int>(name.size()), name.data());
  std::abort();
}

// Two numbers that must not meet, as a reader might forget to look.
void planted_bug(std::string_view bytes) {
  const std::size_t open = bytes.find('<');
  const std::size_t close = bytes.find('>');
  if (open == std::string_view::npos || close == std::string_view::npos) return;
  must_hold(open < close, "canary");
}

}  // namespace trayproof::fuzz
