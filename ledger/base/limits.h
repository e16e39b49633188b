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
inline constexpr double altitude_m_min = -500;                            // where the standard atmosphere has a formula
inline constexpr double altitude_m_max = 11'000;
inline constexpr std::size_t refusals_shown = 1000;                      // printed to a person; JSON holds all

}  // namespace trayproof::limits
