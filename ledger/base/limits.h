// Every limit on what is taken in, in one place. The format's own limits (docs/ledger-format.md) can never be lowered.
#pragma once

#include <cstddef>
#include <cstdint>

namespace trayproof::limits {

inline constexpr std::size_t entry_bytes = 256 * 1024;
inline constexpr std::size_t list_items = 2000;
inline constexpr std::size_t depth = 8;
inline constexpr std::size_t id_code_points = 64;
inline constexpr std::size_t text_code_points = 200;
inline constexpr std::size_t free_text_code_points = 2000;
inline constexpr std::size_t toml_bytes = 128 * 1024;
inline constexpr std::size_t patient_code_points = 64;
inline constexpr std::size_t known_number_code_points = 5;  // shorter numbers are not looked for in texts
inline constexpr std::int64_t signed_events_max = 10'000;   // one signature covers at most this many

inline constexpr std::size_t record_file_bytes = std::size_t{1} << 30;   // a file of events
inline constexpr std::size_t logger_file_bytes = std::size_t{256} << 20; // a logger's export
inline constexpr std::size_t erasure_list_bytes = std::size_t{256} << 20;  // the list of what was erased
inline constexpr std::size_t register_file_bytes = std::size_t{256} << 20; // a spreadsheet or a FHIR Bundle
inline constexpr std::size_t attachment_part_bytes = 1'000'000;          // plain bytes a row; below 1 MiB compressed
inline constexpr std::size_t note_bytes = 64 * 1024;                     // a signed note
inline constexpr std::size_t note_signatures = 100;                      // signed-note.md: at least 16
inline constexpr std::size_t proof_hashes = 63;                          // C2SP tlog-witness, add-checkpoint
inline constexpr std::size_t proof_bytes = 128 * 1024;                   // a proof with its checkpoint
inline constexpr std::uint64_t pack_file_bytes = std::uint64_t{4} << 30;  // an evidence pack
inline constexpr std::uint64_t pack_plain_bytes = std::uint64_t{8} << 30; // and what it holds
inline constexpr std::size_t pack_members = 20'000;
inline constexpr std::size_t pack_json_bytes = 16 * 1024 * 1024;          // its pack.json and its list of hashes
inline constexpr std::size_t pack_line_bytes = 2 * entry_bytes + 1024;    // an entry as a text in JSON
inline constexpr std::size_t pack_problems_kept = 1000;
inline constexpr std::size_t pack_older_states = 200;                     // consistency proofs in a pack
inline constexpr std::size_t pack_entries_shown = 3000;                   // on its page
inline constexpr std::size_t pack_drawings = 24;                          // curves drawn on its page
inline constexpr double mix_litres_max = 10'000;                          // a solution to be mixed: keeps out ml as litres

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
inline constexpr std::size_t desk_connections = 1024;   // then the one that waits longest goes
inline constexpr int desk_backlog = 1024;
inline constexpr std::size_t desk_waiting = 256;        // whole requests that wait for a worker, a lane
inline constexpr int desk_quick_workers = 32;           // as many recorders share one commit
inline constexpr int desk_slow_workers = 2;
inline constexpr int desk_pin_workers = 1;
inline constexpr int desk_requests_a_connection = 1000;
inline constexpr int desk_head_seconds = 10;            // from the first byte, or from the beginning
inline constexpr int desk_body_seconds = 20;            // and what it takes at desk_bytes_a_second
inline constexpr std::int64_t desk_bytes_a_second = 32 * 1024;
inline constexpr int desk_idle_seconds = 15;
inline constexpr int desk_linger_seconds = 2;
inline constexpr std::size_t desk_linger_bytes = 256 * 1024;
inline constexpr int desk_stop_seconds = 20;
inline constexpr int desk_signed_idle_seconds = 5 * 60;       // a person with a PIN who does nothing is signed out
inline constexpr int desk_signed_seconds = 30 * 60;           // and after this in any case
inline constexpr int desk_name_idle_seconds = 15 * 60;        // a tapped name
inline constexpr int desk_name_seconds = 12 * 60 * 60;
inline constexpr std::size_t desk_sessions = 1000;            // then the oldest ends
inline constexpr int desk_code_seconds = 15 * 60;             // a code that enrols a station
inline constexpr std::size_t desk_stations = 200;
inline constexpr std::size_t desk_stations_file_bytes = 256 * 1024;
inline constexpr std::size_t desk_readers_kept = 8;           // open readers of the ledger that wait for work

inline constexpr std::size_t refusals_shown = 1000;                      // printed to a person; JSON holds all

}  // namespace trayproof::limits
