// What becomes of an import: the file is attached whole, and each cycle becomes three events (measured, placed, judged)
// in one durable append, so that a mended engine or a new edition judges again without touching the measurement.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "importer/import.h"
#include "ledger/ledger.h"
#include "ledger/links/links.h"

namespace trayproof::importer {

struct Source {
  std::string equipment;  // that was measured; its registered id
  std::optional<std::string> logger;
  std::optional<std::string> load;  // named by hand
};

// What the ledger knows around an export of that equipment. `editions` must outlive what is returned. Missing where the
// load named by hand is not recorded on that equipment.
Result<Surroundings> surroundings(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                  const Source& source);

// Whether the curves of that import's file were measured already. Of a long export whose taking in was cut short they
// were not: the rest is taken in now.
Result<bool> is_repeated(links::Links& tables, const Import& import);
// What is kept of an export that was taken in, in the order of its parts.
struct KeptPart {
  std::int64_t curve = 0;  // seq of its curve-measured
  std::int64_t part = 0;
  std::string equipment;            // that it was imported for
  std::optional<std::string> load;  // nothing: it waits
};
Result<std::vector<KeptPart>> kept_parts(links::Links& tables, const Digest& file);
// Of an export that was taken in before: its cycles get the places that their curves have, not those that they would
// get now. Where it is kept for other equipment than `equipment` (when named), the sentence that says so, else empty.
Result<std::string> take_kept_places(links::Links& tables, Import& import, const std::string& equipment);
// A load that began, on whatever equipment.
Result<std::optional<KnownLoad>> known_load(links::Links& tables, const std::string& load);

struct Kept {
  std::int64_t first = 0;  // seqs of the events written
  std::int64_t last = 0;
  std::int64_t curves = 0;
  bool repeated = false;  // another program took the file in meanwhile; nothing was written
  events::Refusals refusals;
};
// `import` has no open question and knows its dates. A file of up to 100 cycles is one durable append, a longer one
// several. Nothing is written for a file without a cycle but its attachment
// and one curve-measured over the whole of it, unplaced and unjudged: that such a file was handed in is part of the
// record. `tables` are those in which the file was not found.
// `curves` are the import's. Conflict where the bytes are not those that were read.
Result<Kept> keep(Ledger& ledger, links::Links& tables, const Import& import, reading::Source& bytes,
                  const CodedCurves& curves, const Source& source,
                  const std::function<void(std::int64_t bytes)>& progress = {});
// Of an import that was read from memory.
Result<Kept> keep(Ledger& ledger, links::Links& tables, const Import& import, ByteView bytes, const Source& source);

// The choices under which a stored curve was read (`reading` of its curve-measured), so that it is read so again.
Choices choices_of(const json::Value& reading);

// The curve-judged of a cycle; `error_k` when the logger's readings were taken as too high by that.
json::Value judged_event(const Cycle& cycle, std::int64_t curve, const DateTime& now, const std::string& by,
                         std::optional<double> error_k);

}  // namespace trayproof::importer
