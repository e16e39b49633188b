// Reads a file of events on a thread of its own, so that parsing and settling go on while the lines before are written.
// Pure: the same lines give the same readings in the same order, whatever the threads do.
#pragma once

#include <array>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "ledger/crypto/hash.h"
#include "ledger/events/draft.h"
#include "ledger/identities.h"

namespace trayproof {

// An event's canonical members, and where the ledger's own members go between them.
struct Rendered {
  std::string members;
  std::array<std::uint32_t, 7> cuts{};
};
// The ledger's own members, in the order in which RFC 8785 sorts them; each has its cut.
inline constexpr std::array<std::string_view, 7> added_names = {"key",   "prev",    "recorded", "seq",
                                                                "signs", "station", "v"};
// The members in the order of RFC 8785. Stand-ins are in place.
Rendered render(const json::Value& event);

// One event, read against the vocabulary, with the digest of its content; rendered already where nothing of it is kept
// beside the chain.
struct ReadEvent {
  std::int64_t line = 0;
  events::DraftReading reading;
  crypto::Token content{};
  std::optional<Rendered> rendered;
  events::Refusals named;  // places that hold a known patient's number
};

// How events are read.
struct ReadingRules {
  events::Giver giver = events::Giver::recorder;
  std::optional<std::string> default_by;
  const KnownNumbers* numbers = nullptr;
};

ReadEvent read_event(std::int64_t line, json::Value given, const ReadingRules& rules);
ReadEvent read_line(std::int64_t line, std::string_view text, const ReadingRules& rules);

// Splits at LF, without a CR before it; blank lines are passed over, a byte-order mark in front too.
void each_line(std::string_view text, const std::function<void(std::int64_t, std::string_view)>& each);

class LineReader {
 public:
  LineReader(std::string_view text, ReadingRules rules);
  ~LineReader();
  LineReader(const LineReader&) = delete;
  LineReader& operator=(const LineReader&) = delete;

  // The next few events in the order of their lines; empty at the end.
  std::vector<ReadEvent> next();

 private:
  void run();

  std::vector<std::pair<std::int64_t, std::string_view>> lines_;
  ReadingRules rules_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::vector<ReadEvent>> ready_;
  bool done_ = false;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace trayproof
