// What an evidence pack is made of: a zip with these members and no others. docs/evidence-pack.md is the authority.
#pragma once

#include <string>
#include <string_view>

#include "ledger/base/bytes.h"

namespace trayproof::evidence {

inline constexpr std::string_view format_name = "trayproof/evidence/1";

inline constexpr std::string_view about_member = "pack.json";
inline constexpr std::string_view checkpoint_member = "checkpoint.txt";
inline constexpr std::string_view entries_member = "entries.jsonl";
inline constexpr std::string_view proofs_member = "proofs.txt";
inline constexpr std::string_view texts_member = "texts.jsonl";
inline constexpr std::string_view whole_member = "whole.jsonl";  // only in a pack made with --whole
inline constexpr std::string_view page_member = "START-HERE.html";
inline constexpr std::string_view manual_member = "HOW-TO-CHECK.txt";
inline constexpr std::string_view sums_member = "SHA256SUMS";
inline constexpr std::string_view signature_member = "signature.json";  // absent where no key was at hand
inline constexpr std::string_view attachments_folder = "attachments/";  // then the SHA-256 of the file
inline constexpr std::string_view consistency_folder = "consistency/";  // then an older size and .txt

// What the station signs so that the readable page can be trusted as far as the station: it names every member.
inline std::string signed_text(std::string_view ledger, const Digest& sums) {
  return std::string(format_name) + "\n" + std::string(ledger) + "\n" + hex(sums) + "\n";
}

}  // namespace trayproof::evidence
