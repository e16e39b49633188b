// Walks the whole record and tells everything that does not hold, each with its seq; never stops at the first, never
// mends. docs/threat-model.md tells what this shows and what only a checkpoint kept elsewhere can show.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/log/cosignature.h"

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
  unsigned threads = 0;                          // 0: as many as the machine runs at once, at most 8
  std::vector<std::string> outside = {};         // checkpoints kept elsewhere: signed notes
  std::vector<log::VerifierKey> witnesses = {};  // whose signatures under checkpoints are checked
};

struct Problem {
  std::optional<std::int64_t> seq;
  std::string what;
};

// One checkpoint against the record.
struct CheckpointFound {
  enum class State {
    holds,          // signed by this ledger, and the record leads to its root
    unreadable,     // no checkpoint
    other_ledger,   // of another ledger
    not_signed,     // not signed by this ledger's key; nothing follows from it
    other_history,  // signed, and the record up to its size is not what it says
    older_copy,     // signed, and the record has fewer events than it says
    declared_lost,  // no state of this record, and a ledger-restored in it declares just this one as lost
  };
  State state = State::holds;
  enum class Source { kept, outside } source = Source::kept;  // in the ledger's file, or given by the caller
  log::Head head;
  std::vector<log::SignatureFound> signatures;
  // Of one declared lost: the entry that says so, up to which size the record goes back, and whether the second person
  // countersigned it. Until then the loss is one person's word, and a problem.
  struct Loss {
    std::int64_t seq = 0;
    std::int64_t restored_size = 0;
    bool confirmed = false;
  };
  std::optional<Loss> loss;
};

struct Verification {
  std::int64_t events = 0;
  Digest head{};
  Digest root{};
  std::int64_t checkpoints = 0;                    // kept in the file
  std::vector<CheckpointFound> checkpoint_states;  // of all of them, by size; then those from outside
  std::int64_t signatures = 0;                     // checked in this run
  std::int64_t signed_before = 0;                  // events whose signatures an earlier run checked
  std::int64_t attachments = 0;
  std::int64_t removed_texts = 0;
  std::int64_t erased_patients = 0;
  std::vector<Problem> problems;
  std::vector<Problem> notes;           // that people should know of, and that contradict nothing
  bool read = true;                     // false: the file could not be read, and nothing was checked
  bool whole = true;                    // false: damaged pages kept some checks from their end
  bool with_keys = true;                // false: what needs the key file's secrets was not checked
  bool tables = false;                  // derived tables were made afresh and compared
  std::optional<std::string> key_file;  // why the key file beside the ledger could not be used

  bool holds() const { return problems.empty() && !key_file; }
};

Result<Verification> verify(Ledger& ledger, const VerifyOptions& options);
inline Result<Verification> verify(Ledger& ledger, Depth depth) { return verify(ledger, {.depth = depth}); }

}  // namespace trayproof
