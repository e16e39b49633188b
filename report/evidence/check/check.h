// Checks an evidence pack: offline, without a ledger and without a database. docs/evidence-pack.md tells every step, so
// that a stranger can take the same ones.
//
// It shows that the entries stand unchanged in the record that the checkpoint signs. It cannot show that no other entry
// concerns the case (except in a pack made with --whole), and not whose the record is, unless something from elsewhere
// is given: the ledger's key, or a checkpoint that somebody else kept.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/log/note.h"
#include "ledger/text/json.h"
#include "report/evidence/check/problems.h"

namespace trayproof::evidence {

// What comes from elsewhere.
struct Anchor {
  std::optional<log::VerifierKey> ledger_key;
  std::optional<std::string> checkpoint;  // a checkpoint, or a consistency proof from the pack's size to a later one
};

struct Counts {
  std::int64_t entries = 0;
  std::int64_t proofs = 0;
  std::int64_t signatures = 0;
  std::int64_t keys = 0;
  std::int64_t texts = 0;
  std::int64_t attachments = 0;
  std::int64_t members = 0;
  std::optional<std::int64_t> whole;  // entries of the whole record
  std::int64_t absent_texts = 0;      // the pack says of them why they are not in it
  std::int64_t absent_attachments = 0;
};

struct Checked {
  std::string sha256;  // of the pack
  std::string subject_kind, subject_id;
  std::string facility;
  std::string ledger, origin, vkey;
  std::uint64_t size = 0;
  std::string root;  // hex
  std::string as_known_at;
  Counts counts;
  std::vector<Problem> problems;
  std::size_t problem_count = 0;  // those beyond the limit are counted only
  bool page_signed = false;       // a station's key vouches for the readable page
  std::string page_signed_by;     // owner of that key
  bool by_key = false;            // the record is that of the key given
  bool by_checkpoint = false;     // the record is the one of the checkpoint given
  std::vector<std::string> open;  // what could not be decided, and what would decide it

  bool holds() const { return problem_count == 0; }
  bool is_shown_whose() const { return by_key || by_checkpoint; }
  // Nothing broken, nothing left to be believed.
  bool is_good() const { return holds() && is_shown_whose() && page_signed && open.empty(); }
};

// Invalid when the file is refused as a whole; missing, unavailable when it cannot be read.
Result<Checked> check(const std::string& path, const Anchor& anchor);
json::Value to_json(const Checked& checked);

}  // namespace trayproof::evidence
