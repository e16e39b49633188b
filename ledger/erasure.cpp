#include "ledger/erasure.h"

#include <algorithm>
#include <map>

#include "ledger/base/files.h"
#include "ledger/erasure_list.h"
#include "ledger/text/pointer.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

std::string_view word(Forgotten sort) {
  switch (sort) {
    case Forgotten::patient:
      return "patient";
    case Forgotten::text:
      return "text";
    case Forgotten::attachment:
      return "attachment";
  }
  return "";
}

bool is_erasure_request(std::string_view kind) {
  return kind == "patient-erased" || kind == "text-removed" || kind == "attachment-removed";
}

std::optional<std::string> text_stand_in_at(store::LedgerFile& file, std::int64_t seq, std::string_view pointer) {
  const auto entry = file.entry(seq);
  if (!entry.ok()) return std::nullopt;
  const auto event = json::parse(entry.value().bytes);
  if (!event.ok()) return std::nullopt;
  const Value* there = json::at_pointer(event.value(), pointer);
  if (there == nullptr || !there->is_object() || there->members().size() != 1) return std::nullopt;
  const auto stand_in = there->text_at("sha256");
  return stand_in ? std::optional(std::string(*stand_in)) : std::nullopt;
}

std::optional<ErasureRequest> request_of(store::LedgerFile& file, std::int64_t seq, const Value& event) {
  const auto kind = event.text_at("kind").value_or("");
  const auto text = [&](std::string_view name) { return std::string(event.text_at(name).value_or("")); };
  ErasureRequest request{.seq = seq, .sort = Forgotten::patient, .subject = {}, .of = 0, .field = {}};
  if (kind == "patient-erased") {
    request.subject = text("pseudonym");
    return request;
  }
  if (kind == "attachment-removed") {
    request.sort = Forgotten::attachment;
    request.subject = text("file");
    return request;
  }
  if (kind != "text-removed") return std::nullopt;
  request.sort = Forgotten::text;
  request.of = static_cast<std::int64_t>(event.number_at("of").value_or(0));
  request.field = text("field");
  const auto stand_in = text_stand_in_at(file, request.of, request.field);
  if (!stand_in) return std::nullopt;
  request.subject = *stand_in;
  return request;
}

Result<std::vector<ErasureRequest>> erasure_requests(const Ledger& ledger) {
  std::vector<ErasureRequest> requests;
  for (const std::string_view kind : {"patient-erased", "text-removed", "attachment-removed"}) {
    TRY_LET(const auto seqs, ledger.file().landmarks(kind));
    for (const std::int64_t seq : seqs) {
      TRY_LET(const auto entry, ledger.entry(seq));
      TRY_LET(const auto event, json::parse(entry.bytes));
      if (auto request = request_of(ledger.file(), seq, event)) requests.push_back(std::move(*request));
    }
  }
  std::sort(requests.begin(), requests.end(), [](const auto& a, const auto& b) { return a.seq < b.seq; });
  return requests;
}

Result<bool> still_there(store::LedgerFile& file, const ErasureRequest& request) {
  Digest digest{};
  crypto::Token token{};
  switch (request.sort) {
    case Forgotten::patient: {
      if (!from_hex(request.subject, token)) return false;
      TRY_LET(const auto kept, file.patient_by_pseudonym(token));
      return kept.has_value();
    }
    case Forgotten::text: {
      if (!from_hex(request.subject, digest)) return false;
      TRY_LET(const auto kept, file.text(digest));
      return kept.has_value();
    }
    case Forgotten::attachment:
      return from_hex(request.subject, digest) ? file.has_attachment(digest) : Result<bool>(false);
  }
  return false;
}

Result<bool> destroy(store::LedgerFile& file, Forgotten sort, std::string_view subject) {
  Digest digest{};
  crypto::Token token{};
  if (sort == Forgotten::patient) return from_hex(subject, token) ? file.destroy_patient(token) : Result<bool>(false);
  if (!from_hex(subject, digest)) return false;
  return sort == Forgotten::text ? file.destroy_text(digest) : file.destroy_attachment(digest);
}

namespace {

Value request_event(const ErasureWish& wish) {
  Value event = Value::object();
  switch (wish.sort) {
    case Forgotten::patient:
      event.set("kind", "patient-erased").set("pseudonym", wish.subject);
      break;
    case Forgotten::text:
      event.set("kind", "text-removed").set("of", wish.of).set("field", wish.field);
      break;
    case Forgotten::attachment:
      event.set("kind", "attachment-removed").set("file", wish.subject);
      break;
  }
  return event.set("at", wish.at).set("second", wish.second);
}

}  // namespace

Result<std::int64_t> ask_for_erasure(Ledger& ledger, const ErasureWish& wish,
                                     std::shared_ptr<const people::Signer> signer) {
  Value event = request_event(wish);
  const auto request = request_of(ledger.file(), 0, event);
  if (!request) {
    return Error(ErrorCode::missing, say("erasure.no-text", {{"seq", std::to_string(wish.of)}, {"field", wish.field}}));
  }
  TRY_LET(const bool there, still_there(ledger.file(), *request));
  if (!there) return Error(ErrorCode::missing, say("erasure.nothing", {{"subject", request->subject}}));
  TRY_LET(const auto earlier, erasure_requests(ledger));
  for (const ErasureRequest& one : earlier) {
    if (one.sort != request->sort || one.subject != request->subject) continue;
    TRY_LET(const auto entry, ledger.entry(one.seq));
    TRY_LET(const auto asked, json::parse(entry.bytes));
    if (asked.text_at("second") != wish.second) continue;  // another second may be named when the first cannot be had
    return Error(ErrorCode::invalid,
                 say("erasure.asked-already", {{"seq", std::to_string(one.seq)}, {"second", wish.second}}));
  }
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = std::move(signer);
  TRY_LET(const auto done, ledger.append({{0, std::move(event)}}, options));
  if (!done.refusals.empty()) {
    const events::Refusal& first = done.refusals.front();
    return Error(ErrorCode::invalid, first.field + ": " + first.why);
  }
  return done.last;
}

Result<std::vector<ErasureRequest>> destroy_countersigned(Ledger& ledger) {
  std::vector<ErasureRequest> due;
  std::vector<ErasureProof> proofs;
  TRY_LET(const auto requests, erasure_requests(ledger));
  for (const ErasureRequest& request : requests) {
    TRY_LET(const bool there, still_there(ledger.file(), request));
    if (!there) continue;
    TRY_LET(const auto second, ledger.second(request.seq));
    if (second.second != people::Second::confirmed) continue;
    TRY_LET(auto proof, proof_of(ledger, request, *second.confirmed_by));
    proofs.push_back(std::move(proof));
    due.push_back(request);
  }
  if (due.empty()) return due;
  TRY(ledger.in_one_step([&]() -> Result<void> {
    for (const ErasureRequest& request : due) {
      TRY_LET(const bool destroyed, destroy(ledger.file(), request.sort, request.subject));
      CHECK(destroyed || due.size() > 1);  // two requests may name the same
    }
    // Before the commit: should the list not be written, nothing is destroyed yet, and both are done next time.
    return add_to_list(list_path(ledger.path()), proofs);
  }));
  return due;
}

Result<std::vector<HoldingBackup>> backups_that_hold(const Ledger& ledger, const ErasureRequest& request) {
  std::int64_t first = 0;
  TRY_LET(const auto head, ledger.head());
  TRY(ledger.scan(1, head.seq, [&](const store::EntryView& entry) -> Result<void> {
    if (first == 0 && entry.bytes.find(request.subject) != std::string_view::npos) first = entry.seq;
    return {};
  }));
  TRY_LET(const auto second, ledger.second(request.seq));
  const std::int64_t gone = second.confirmed_by.value_or(head.seq + 1);
  // A later backup under the same name has replaced the earlier one.
  std::map<std::string, std::pair<std::int64_t, HoldingBackup>> last;
  TRY_LET(const auto seqs, ledger.file().landmarks("backup-made"));
  for (const std::int64_t seq : seqs) {
    TRY_LET(const auto entry, ledger.entry(seq));
    TRY_LET(const auto event, json::parse(entry.bytes));
    const std::string where(event.text_at("where").value_or(""));
    last[where] = {static_cast<std::int64_t>(event.number_at("size").value_or(0)),
                   {.seq = seq, .at = std::string(event.text_at("at").value_or("")), .where = where}};
  }
  std::vector<HoldingBackup> holding;
  for (const auto& [where, backup] : last) {
    if (backup.first >= first && backup.first < gone) holding.push_back(backup.second);
  }
  std::sort(holding.begin(), holding.end(), [](const auto& a, const auto& b) { return a.seq < b.seq; });
  return holding;
}

}  // namespace trayproof
