// One target a reader of foreign bytes: bytes in, and what must hold of whatever the reader makes of them. libFuzzer
// drives a target where clang builds it (-DTRAYPROOF_FUZZ=ON); `fuzz_smoke` drives all of them anywhere, with a small
// mutator, a fixed seed and the corpus in tests/fuzz/corpus/<target>/.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace trayproof::fuzz {

struct Target {
  std::string_view name;
  void (*run)(std::string_view bytes);
  int smoke_runs;          // in the time of a test run
  std::size_t bytes_most;  // of an input
};

std::span<const Target> targets();
// Planted: fails on bytes that no file of its corpus has. Whoever drives targets must find it.
const Target& canary();
// Null when there is none of that name, the canary included.
const Target* find_target(std::string_view name);

// Ends the program with the property's name: the input is then a finding.
void must_hold(bool property, std::string_view name);

void json_reader(std::string_view bytes);
void event_line(std::string_view bytes);
void given_numbers(std::string_view bytes);
void record_file(std::string_view bytes);
void signed_note(std::string_view bytes);
void proof_text(std::string_view bytes);
void sop_file(std::string_view bytes);
void key_file(std::string_view bytes);
void logger_text(std::string_view bytes);
void logger_records(std::string_view bytes);
void logger_reading(std::string_view bytes);
void logger_written(std::string_view bytes);
void logger_import(std::string_view bytes);
void curve_bytes(std::string_view bytes);
void curve_judging(std::string_view bytes);
void evidence_pack(std::string_view bytes);
void parcel_file(std::string_view bytes);
void picture(std::string_view bytes);
void planted_bug(std::string_view bytes);

}  // namespace trayproof::fuzz
