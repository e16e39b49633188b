#include "ledger/verify_beside.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/identities.h"
#include "ledger/introductions.h"
#include "ledger/kept_curves.h"
#include "ledger/store/attachment_stream.h"
#include "ledger/verify.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

namespace {

constexpr std::size_t salt_bytes = std::tuple_size_v<decltype(store::KeptText::salt)>;

}  // namespace

void BesideCheck::problem(std::optional<std::int64_t> seq, std::string what) {
  found_.problems.push_back({seq, std::move(what)});
}

void BesideCheck::gather_numbers(const Value& event, std::int64_t seq) {
  const auto pseudonym = [&](const Value& one) {
    if (one.is_text()) pseudonyms_.try_emplace(one.text(), seq);
  };
  if (const Value* patient = event.find("patient")) pseudonym(*patient);
  if (const Value* newborns = event.find("newborns"); newborns != nullptr && newborns->is_list()) {
    for (const Value& newborn : newborns->items()) pseudonym(newborn);
  }
}

void BesideCheck::gather_texts(const Value& value, std::int64_t seq) {
  if (value.is_list()) {
    for (const Value& item : value.items()) gather_texts(item, seq);
    return;
  }
  if (!value.is_object()) return;
  for (const json::Member& member : value.members()) {
    if (events::is_free_text(member.name) || member.name == "name") {
      const auto stand_in = member.value.text_at("sha256");
      if (stand_in && member.value.members().size() == 1) stand_ins_.try_emplace(std::string(*stand_in), seq);
    } else {
      gather_texts(member.value, seq);
    }
  }
}

void BesideCheck::follow_ids(std::int64_t seq, const Value& event) {
  std::int64_t origin = seq;
  if (event.text_at("kind") == "corrected") {
    const auto of = static_cast<std::int64_t>(event.number_at("of").value_or(0));
    const auto named = family_.find(of);
    origin = named == family_.end() ? of : named->second;
    family_[seq] = origin;
  }
  if (const auto before = ids_of_.find(origin); before != ids_of_.end()) {
    for (const auto& key : before->second) {
      const auto held = ids_.find(key);
      if (held != ids_.end() && held->second.origin == origin) ids_.erase(held);
    }
    ids_of_.erase(before);
  }
  const Value* effective = effective_of(event);
  if (effective == nullptr) return;
  for (const Introduction& one : introductions_of(*effective)) {
    const std::pair<std::string, std::string> key{std::string(one.sort), one.id};
    ids_[key] = {.origin = origin, .detail = one.detail};
    ids_of_[origin].push_back(key);
  }
}

void BesideCheck::missing(Forgotten sort, const std::string& subject, std::int64_t seq, std::string not_asked) {
  const ErasedCheck::Answer answer = erased_.of(sort, subject);
  if (answer.standing == ErasedCheck::Standing::not_asked) problem(seq, std::move(not_asked));
  if (answer.standing == ErasedCheck::Standing::awaiting)
    problem(answer.seq, say("verify.removed-early", {{"seq", std::to_string(seq)}}));
}

void BesideCheck::check_destroyed(Forgotten sort, const std::function<bool(const std::string&)>& there) {
  for (const auto& [seq, subject] : erased_.confirmed(sort)) {
    if (there(subject)) problem(seq == 0 ? std::nullopt : std::optional(seq), say("verify.not-destroyed"));
  }
}

void BesideCheck::entry(std::int64_t seq, const Value& event, bool has_signature) {
  const auto kind = event.text_at("kind").value_or("");
  gather_texts(event, seq);
  gather_numbers(event, seq);
  if (const Value* effective = effective_of(event); effective != nullptr && effective != &event)
    gather_numbers(*effective, seq);
  follow_ids(seq, event);
  if (events::is_landmark(kind)) landmarks_.emplace(std::string(kind), seq);
  const auto name_file = [&](std::string_view file) { files_.try_emplace(std::string(file), seq); };
  // A recorder's `files` may name a photo that is kept elsewhere; only what the program itself attached must be here.
  if (kind == "curve-measured") {
    name_file(event.text_at("file").value_or(""));
    if (const Value* files = event.find("files"); files != nullptr && files->is_list()) {
      for (const Value& one : files->items()) name_file(one.is_text() ? one.text() : std::string());
    }
  }
  if (kind == "recall-opened") name_file(event.text_at("answer").value_or(""));
  erased_.entry(seq, event, has_signature);
}

Result<void> BesideCheck::check_introduced() {
  TRY_LET(auto rows, ledger_.file().database().prepare("SELECT sort, id, origin, detail FROM introduced"));
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) break;
    const auto held = ids_.find({std::string(rows.text(0)), std::string(rows.text(1))});
    const bool fits =
        held != ids_.end() && held->second.origin == rows.integer(2) && held->second.detail == rows.text(3);
    if (!fits) problem(rows.integer(2), say("verify.introduced", {{"id", rows.text(1)}}));
    if (held != ids_.end()) ids_.erase(held);
  }
  for (const auto& [key, held] : ids_) problem(held.origin, say("verify.introduced", {{"id", key.second}}));
  return {};
}

Result<void> BesideCheck::check_small_tables() {
  TRY_LET(auto families, ledger_.file().database().prepare("SELECT seq, origin FROM corrections"));
  auto left = family_;
  while (true) {
    TRY_LET(const bool row, families.step());
    if (!row) break;
    const auto told = left.find(families.integer(0));
    if (told == left.end() || told->second != families.integer(1))
      problem(families.integer(0), say("verify.corrections"));
    if (told != left.end()) left.erase(told);
  }
  for (const auto& [seq, origin] : left) problem(seq, say("verify.corrections"));
  TRY_LET(auto marks, ledger_.file().database().prepare("SELECT kind, seq FROM landmarks"));
  while (true) {
    TRY_LET(const bool row, marks.step());
    if (!row) break;
    if (landmarks_.erase({std::string(marks.text(0)), marks.integer(1)}) == 0)
      problem(marks.integer(1), say("verify.landmarks"));
  }
  for (const auto& [kind, seq] : landmarks_) problem(seq, say("verify.landmarks"));
  return {};
}

Result<void> BesideCheck::check_texts() {
  TRY_LET(auto rows, ledger_.file().database().prepare("SELECT sha256, salt, text FROM texts"));
  std::unordered_set<std::string> there;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) break;
    const std::string stand_in = hex(rows.blob(0));
    const auto named = stand_ins_.find(stand_in);
    const std::optional<std::int64_t> seq = named == stand_ins_.end() ? std::nullopt : std::optional(named->second);
    // Moved between salt and text, bytes would give the same hash and another text.
    if (rows.blob(1).size() != salt_bytes || hex(crypto::sha256({rows.blob(1), as_bytes(rows.text(2))})) != stand_in)
      problem(seq, say("verify.text-changed"));
    if (!seq) problem(std::nullopt, say("verify.text-unnamed"));
    there.insert(stand_in);
  }
  for (const auto& [stand_in, seq] : stand_ins_) {
    if (there.contains(stand_in)) continue;
    ++found_.removed_texts;
    missing(Forgotten::text, stand_in, seq, say("verify.text-missing"));
  }
  check_destroyed(Forgotten::text, [&](const std::string& one) { return there.contains(one); });
  return {};
}

Result<void> BesideCheck::check_patients() {
  TRY_LET(auto rows,
          ledger_.file().database().prepare("SELECT pseudonym, lookup, sealed_key, sealed_number FROM patients"));
  std::unordered_set<std::string> there;
  const auto bytes = [&](int column) { return Bytes(rows.blob(column).begin(), rows.blob(column).end()); };
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) break;
    const std::string pseudonym = hex(rows.blob(0));
    there.insert(pseudonym);
    const auto named = pseudonyms_.find(pseudonym);
    const std::optional<std::int64_t> seq = named == pseudonyms_.end() ? std::nullopt : std::optional(named->second);
    if (!seq) problem(std::nullopt, say("verify.patient-unnamed"));
    if (ledger_.keys() == nullptr) continue;
    store::KeptPatient patient{.pseudonym = {}, .lookup = {}, .sealed_key = bytes(2), .sealed_number = bytes(3)};
    from_hex(pseudonym, patient.pseudonym);
    from_hex(hex(rows.blob(1)), patient.lookup);
    const auto number = open_number(patient, *ledger_.keys());
    if (!number || crypto::keyed_token(ledger_.keys()->lookup_secret, as_bytes(*number)) != patient.lookup) {
      problem(seq, say("verify.patient-changed"));
    }
  }
  for (const auto& [pseudonym, seq] : pseudonyms_) {
    if (there.contains(pseudonym)) continue;
    ++found_.erased_patients;
    missing(Forgotten::patient, pseudonym, seq, say("verify.patient-missing"));
  }
  check_destroyed(Forgotten::patient, [&](const std::string& one) { return there.contains(one); });
  return {};
}

namespace {

// Piece by piece: an export may be larger than memory.
Result<void> read_whole(store::LedgerFile& file, const Digest& sha256) {
  TRY_LET(auto reader, store::AttachmentReader::open(file, sha256));
  while (true) {
    TRY_LET(const Bytes part, reader.next());
    if (part.empty()) return {};
  }
}

}  // namespace

// Size and parts as the file's row says; parts of no file are told too.
Result<void> BesideCheck::check_attachment_rows() {
  TRY_LET(auto rows,
          ledger_.file().database().prepare(
              "SELECT sha256, bytes, parts, (SELECT count(*) FROM attachment_parts p WHERE p.sha256 = a.sha256) FROM "
              "attachments a UNION ALL SELECT sha256, 0, 0, part + 2 FROM attachment_parts WHERE sha256 NOT IN (SELECT "
              "sha256 FROM attachments)"));
  constexpr auto part_bytes = static_cast<std::int64_t>(limits::attachment_part_bytes);
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return {};
    const std::int64_t parts = std::max<std::int64_t>(1, (rows.integer(1) + part_bytes - 1) / part_bytes);
    if (rows.integer(2) == parts && rows.integer(3) == parts) continue;
    const std::string file = hex(rows.blob(0));
    const auto named = files_.find(file);
    problem(named == files_.end() ? std::nullopt : std::optional(named->second),
            say("verify.attachment-parts", {{"file", file}}));
  }
}

Result<void> BesideCheck::check_attachments(Depth depth) {
  TRY_LET(const auto kept, ledger_.file().attachments());
  std::set<std::string> there;
  for (const Digest& file : kept) there.insert(hex(file));
  for (const auto& [file, seq] : files_) {
    if (!there.contains(file))
      missing(Forgotten::attachment, file, seq, say("verify.attachment-missing", {{"file", file}}));
  }
  check_destroyed(Forgotten::attachment, [&](const std::string& one) { return there.contains(one); });
  if (depth != Depth::full) return {};
  TRY(check_attachment_rows());
  TRY_LET(const auto curves, look_at_curves(ledger_));
  for (const std::string& one : curves.problems) problem(std::nullopt, one);
  for (const Digest& file : kept) {
    ++found_.attachments;
    const auto whole = read_whole(ledger_.file(), file);
    if (whole.ok()) continue;
    const auto named = files_.find(hex(file));
    problem(named == files_.end() ? std::nullopt : std::optional(named->second), whole.error().sentence());
  }
  return {};
}

Result<void> BesideCheck::finish(Depth depth, EntriesHold entries_hold) {
  if (entries_hold == EntriesHold::yes) {
    TRY(check_introduced());
    TRY(check_small_tables());
  }
  TRY(erased_.settle());
  for (const ErasedCheck::OneHand& one : erased_.one_hands()) {
    found_.notes.push_back(
        {one.seq, say("verify.one-hand", {{"second", one.second}, {"added", std::to_string(one.key_added)}})});
  }
  if (erased_.unreadable_lines() > 0) {
    problem(std::nullopt, say("verify.list-unreadable", {{"count", std::to_string(erased_.unreadable_lines())}}));
  }
  TRY(check_texts());
  TRY(check_patients());
  return check_attachments(depth);
}

}  // namespace trayproof
