// Everything that ties to one thing, both ways, with the entries that say so. docs/recall.md, "Trace", tells what `how`
// may be: the kind of event that names both, or held-by, used-in, relevant-load, reached, packed, turn, ran-in, lot.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/text/json.h"

namespace trayproof::links {

struct TraceLink {
  std::string kind, id, how;
  std::set<std::int64_t> seqs;
};

// How it ties as people read it; in English as it is recorded. A tie that is an event's kind is told as the event is.
std::string how_in_words(const TraceLink& link);

struct TraceEvent {
  std::int64_t seq = 0;
  std::string kind;
  Instant at;
  std::string by;    // who did it
  std::string says;  // one sentence; patients as pseudonyms
  // Whose key signed the entry. A person's: they entered it; the station's: `by` is a claim. Empty when the record does
  // not know the key.
  std::string signed_by;
  bool signed_by_person = false;
  people::SecondAnswer second;
  // Where the key is reported stolen as of a time before the entry was recorded: who entered it, nothing shows.
  struct Theft {
    std::int64_t told = 0;  // the entry that reports it
    std::string since;      // as it says
  };
  std::optional<Theft> theft;
};

struct Trace {
  std::string kind, id;
  Zone zone = Zone::utc();
  std::vector<TraceLink> links;    // by kind, id, how
  std::vector<TraceEvent> events;  // by time, then seq; entries that corrections replaced are there too, and say so
};

// The kinds of thing that events name by this id.
Result<std::vector<std::string>> kinds_of(Links& links, std::string_view id);
// Missing when no event names it.
Result<Trace> trace(Links& links, std::string_view kind, std::string_view id);
json::Value to_json(const Trace& trace);

// A value of an entry as sentences say it: a kept text as it reads, a list by its items.
std::string in_words(const Ledger& ledger, const json::Value& value);
// What an entry says, in one sentence made from its kind and fields.
std::string sentence_of(const Ledger& ledger, std::string_view kind, const json::Value& fields);

}  // namespace trayproof::links
