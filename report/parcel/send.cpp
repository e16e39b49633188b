#include "report/parcel/send.h"

#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/log/cosignature.h"
#include "ledger/prove.h"
#include "ledger/text/json.h"
#include "ledger/version.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/evidence/check/file_hash.h"
#include "report/evidence/lines.h"
#include "report/evidence/zip_writer.h"
#include "report/parcel/format.h"

namespace trayproof::parcel {
namespace {

using json::Value;

// The file until it has its name.
class Unfinished {
 public:
  explicit Unfinished(std::string path) : path_(std::move(path)) {}
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;
  ~Unfinished() {
    if (!named_) ::unlink(path_.c_str());
  }
  const std::string& path() const { return path_; }
  void named() { named_ = true; }

 private:
  std::string path_;
  bool named_ = false;
};

// Page by page, as often as the zip's writer asks.
evidence::Member entries_of(const Ledger& ledger, std::int64_t since, std::int64_t size) {
  evidence::Member member;
  member.name = entries_member;
  member.open = [&ledger, since, size]() -> evidence::Chunks {
    return [&ledger, size, at = since + 1]() mutable -> Result<std::string> {
      constexpr std::int64_t step = 200;
      std::string out;
      const std::int64_t last = std::min(at + step - 1, size);
      TRY(ledger.scan(at, last, [&](const store::EntryView& entry) -> Result<void> {
        out += evidence::entry_line(entry);
        return {};
      }));
      at = last + 1;
      return out;
    };
  };
  return member;
}

}  // namespace

Result<Sent> send(Ledger& ledger, const Sending& sending) {
  TRY(can_be_made(sending.output));
  Sent sent;
  sent.since = sending.since;
  TRY_LET(sent.checkpoint, ledger.sign_checkpoint());
  TRY_LET(const auto note, log::parse_note(sent.checkpoint));
  TRY_LET(const auto checkpoint, log::parse_checkpoint(note));
  sent.size = static_cast<std::int64_t>(checkpoint.head.size);
  TRY_LET(const auto growth, prove_growth(ledger, sending.since, sent.checkpoint));
  const Value about = Value::object()
                          .set("format", format_name)
                          .set("ledger", ledger.ledger_id())
                          .set("origin", ledger.origin())
                          .set("vkey", log::vkey(ledger.ledger_key()))
                          .set("since", sent.since)
                          .set("size", sent.size)
                          .set("root", hex(checkpoint.head.root))
                          .set("facility", sending.title)
                          .set("zone", sending.zone)
                          .set("made", format_recorded(ledger.clock().now()))
                          .set("program", program_name());
  std::vector<evidence::Member> members;
  members.push_back(evidence::member_of(std::string(about_member), json::indented(about) + "\n"));
  members.push_back(evidence::member_of(std::string(growth_member), log::to_text(growth)));
  members.push_back(entries_of(ledger, sent.since, sent.size));
  std::uint64_t bytes = 0;
  for (evidence::Member& member : members) {
    TRY(evidence::measure(member));
    bytes += member.bytes;
  }
  if (bytes > limits::pack_plain_bytes)
    return Error(ErrorCode::invalid, say("parcel.too-large", {{"bytes", std::to_string(bytes)}}));
  TRY_LET(auto beside, new_file_beside(sending.output));
  Unfinished file(std::move(beside));
  TRY(evidence::write_zip(file.path(), members, ledger.clock().now()));
  TRY_LET(const Digest sha256, evidence::sha256_of_file(file.path()));
  sent.sha256 = hex(sha256);
  std::error_code unknown;
  sent.bytes = std::filesystem::file_size(file.path(), unknown);
  TRY(make_durable(file.path(), FileMode::shared));
  TRY(rename_new(file.path(), sending.output));
  file.named();
  return sent;
}

Result<std::int64_t> co_signed_size(const Ledger& ledger, const std::vector<log::VerifierKey>& witnesses) {
  std::map<std::string, std::int64_t> largest;  // by the witness's name
  for (const log::VerifierKey& one : witnesses) largest.emplace(one.name, 0);
  TRY_LET(const auto kept, ledger.checkpoints());
  for (const std::string& bytes : kept) {
    const auto note = log::parse_note(bytes);
    const auto checkpoint = note.ok() ? log::parse_checkpoint(note.value()) : Result<log::Checkpoint>(note.error());
    if (!checkpoint.ok()) continue;  // for verify to tell
    for (const log::SignatureFound& one : log::signatures_of(note.value(), witnesses)) {
      if (one.name == ledger.origin()) continue;
      if (!witnesses.empty() && !(one.cosignature && one.standing == log::Standing::fits)) continue;
      std::int64_t& size = largest[one.name];
      size = std::max(size, static_cast<std::int64_t>(checkpoint.value().head.size));
    }
  }
  if (largest.empty()) return std::int64_t{0};
  return std::min_element(largest.begin(), largest.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->second;
}

}  // namespace trayproof::parcel
