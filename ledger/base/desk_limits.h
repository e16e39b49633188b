// The limits of the desk, beside limits.h: whoever changes one builds no more than the desk again.
#pragma once

#include <cstddef>
#include <cstdint>

#include "ledger/base/limits.h"

namespace trayproof::limits {

// The desk. A request whose head or body passes these is refused before anybody looks at it.
inline constexpr std::size_t desk_head_bytes = 16 * 1024;
inline constexpr std::size_t desk_header_lines = 64;
inline constexpr std::size_t desk_target_bytes = 4096;
inline constexpr std::size_t desk_path_bytes = 1024;                      // an id of 64 characters, encoded, and a kind
inline constexpr std::int64_t desk_form_bytes = 512 * 1024;               // a form or an event
inline constexpr std::int64_t desk_events_bytes = std::int64_t{4} << 20;  // a batch of events of an offline queue
inline constexpr std::int64_t desk_upload_bytes = std::int64_t{32} << 20;
inline constexpr std::int64_t desk_promised_bytes = std::int64_t{96} << 20;  // bodies on their way, all together
inline constexpr std::size_t desk_form_fields = 4000;
inline constexpr std::size_t desk_connections = 1024;  // then the one that waits longest goes
inline constexpr int desk_backlog = 1024;
inline constexpr std::size_t desk_waiting = 256;  // whole requests that wait for a worker, a lane
inline constexpr int desk_quick_workers = 32;     // as many recorders share one commit
inline constexpr int desk_slow_workers = 2;
inline constexpr int desk_pin_workers = 1;
inline constexpr int desk_requests_a_connection = 1000;
inline constexpr int desk_head_seconds = 10;  // from the first byte, or from the beginning
inline constexpr int desk_body_seconds = 20;  // and what it takes at desk_bytes_a_second
inline constexpr std::int64_t desk_bytes_a_second = 32 * 1024;
inline constexpr int desk_idle_seconds = 15;
inline constexpr int desk_linger_seconds = 2;
inline constexpr std::size_t desk_linger_bytes = 256 * 1024;
inline constexpr int desk_stop_seconds = 20;
inline constexpr int desk_signed_idle_seconds = 5 * 60;  // a person with a PIN who does nothing is signed out
inline constexpr int desk_signed_seconds = 30 * 60;      // and after this in any case
inline constexpr int desk_name_idle_seconds = 15 * 60;   // a tapped name
inline constexpr int desk_name_seconds = 12 * 60 * 60;
inline constexpr std::size_t desk_sessions = 1000;  // then the oldest ends
inline constexpr int desk_code_seconds = 15 * 60;   // a code that enrols a station
inline constexpr std::size_t desk_stations = 200;
inline constexpr std::size_t desk_stations_file_bytes = 256 * 1024;
inline constexpr std::size_t desk_readers_kept = 8;  // open readers of the ledger that wait for work
inline constexpr int desk_free_guesses = 3;          // of a PIN or a code; then 1, 2, 4 … seconds
inline constexpr int desk_guess_seconds_max = 60;
inline constexpr int desk_guesses_forgotten_seconds = 60 * 60;
inline constexpr std::int64_t desk_suggestions = 200;    // ids offered in a form's field
inline constexpr std::int64_t desk_taps = 60;            // packs shown to be tapped
inline constexpr std::size_t desk_packs_at_once = 200;   // recorded by one form, each an event of its own
inline constexpr std::size_t desk_told_twice = 5;        // packs given twice that are named
inline constexpr std::int64_t desk_rows_shown = 50;      // on the page of what was recorded last
inline constexpr std::size_t desk_due_lines = 12;        // of each group of what is due
inline constexpr std::size_t desk_chain_rows = 40;       // ways of packs in a drawing
inline constexpr std::size_t desk_story_entries = 200;   // on the page of one thing
inline constexpr std::size_t desk_curves_shown = 3;      // drawn on the page of one load
inline constexpr std::size_t desk_findings_shown = 300;  // on the page of gaps
inline constexpr std::size_t desk_answer_rows = 1000;    // of an answer on its page; its downloads have all
inline constexpr std::int64_t desk_gaps_at_once = 6000;  // of a larger ledger, gaps are worked out where asked for
inline constexpr std::size_t desk_kept_page_bytes = std::size_t{16} << 20;
inline constexpr int desk_kept_page_seconds = 30;
inline constexpr std::size_t desk_held_files = 8;        // handed in, read, and not yet confirmed
inline constexpr std::size_t desk_held_bytes = std::size_t{64} << 20;
inline constexpr int desk_held_seconds = 15 * 60;
inline constexpr std::int64_t desk_entries_a_page = 10'000;  // of an export through the API

inline constexpr std::int64_t desk_awaiting = 1000;  // entries that await a second person, on their page
inline constexpr std::size_t desk_seconds_at_once = 200;

// Photos of codes, read by a confined process of its own (docs/decisions/0070-codes-in-photos.md).
inline constexpr std::size_t photo_bytes = std::size_t{16} << 20;
inline constexpr std::size_t photo_form_bytes = 256 * 1024;  // what else a form sends with it
inline constexpr std::int64_t photo_pixels = 64'000'000;
inline constexpr int photo_side = 3200;  // larger ones are made smaller first
inline constexpr int photo_seconds = 5;  // of the processor
inline constexpr int photo_wait_seconds = 10;
inline constexpr std::size_t photo_memory_bytes = std::size_t{512} << 20;
inline constexpr std::size_t photo_answer_bytes = 16 * 1024;
inline constexpr int desk_photo_workers = 2;

}  // namespace trayproof::limits
