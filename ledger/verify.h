// Walks the whole record and tells everything that does not hold, each with its seq; never stops at the first, never
// mends. docs/threat-model.md tells what this shows and what only a checkpoint kept elsewhere can show.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"

namespace trayproof {

enum class Depth {
  usual,  // signatures since the last verified head
  full,   // every signature and every attachment
};

// How much of it; verify itself does all. The parts are timed apart in tests/bench.
enum class VerifyParts {
  chain,       // chain, tree and checkpoints
  signatures,  // and the form of each entry, keys and signatures
  all,         // and the indexes, texts, numbers and attachments beside the chain
};

struct VerifyOptions {
  Depth depth = Depth::usual;
  VerifyParts parts = VerifyParts::all;
  unsigned threads = 0;  // 0: as many as the machine runs at once, at most 8
};

struct Problem {
  std::optional<std::int64_t> seq;
  std::string what;
};

struct Verification {
  std::int64_t events = 0;
  Digest head{};
  Digest root{};
  std::int64_t checkpoints = 0;
  std::int64_t signatures = 0;     // checked in this run
  std::int64_t signed_before = 0;  // events whose signatures an earlier run checked
  std::int64_t attachments = 0;
  std::int64_t removed_texts = 0;
  std::int64_t erased_patients = 0;
  std::vector<Problem> problems;
};

Result<Verification> verify(Ledger& ledger, const VerifyOptions& options);
inline Result<Verification> verify(Ledger& ledger, Depth depth) { return verify(ledger, {.depth = depth}); }

}  // namespace trayproof
