#include "report/evidence/check/check.h"

#include <algorithm>
#include <map>
#include <set>

#include "ledger/base/limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/proof.h"
#include "ledger/words/words.h"
#include "report/evidence/check/anchors.h"
#include "report/evidence/check/archive.h"
#include "report/evidence/check/entry_walk.h"
#include "report/evidence/check/file_hash.h"
#include "report/evidence/check/format.h"
#include "report/evidence/check/references.h"
#include "report/evidence/check/sums.h"
#include "report/evidence/check/whole.h"

namespace trayproof::evidence {
namespace {

using json::Value;

constexpr std::string_view always_there[] = {about_member, checkpoint_member, entries_member, proofs_member,
                                             texts_member, page_member,       manual_member,  sums_member};

class Check {
 public:
  Check(const Archive& archive, const Anchor& anchor, Checked& checked)
      : archive_(archive), anchor_(anchor), checked_(checked) {}

  void run() {
    const bool complete = check_members();
    sums_ = check_sums(archive_, problems_);
    if (complete && read_about() && read_checkpoint()) {
      check_entries();
      check_signer();
      check_texts();
      check_attachments();
      check_consistency_proofs();
      check_whole();
      check_signature();
      hold_against(anchor_,
                   {.archive = archive_,
                    .note = *note_,
                    .checkpoint = *checkpoint_,
                    .keys = walk_->keys(),
                    .losses = walk_->losses(),
                    .root_at = [this](std::uint64_t size) { return root_at(size); }},
                   problems_, checked_);
    }
    checked_.problems = problems_.kept();
    checked_.problem_count = problems_.count();
  }

 private:
  void problem(std::string_view member, std::string what) { problems_.add(member, std::move(what)); }

  bool check_members() {
    bool complete = true;
    for (const std::string_view name : always_there) {
      if (archive_.has(name)) continue;
      problem(name, say("evidence.member-missing"));
      complete = false;
    }
    checked_.counts.members = static_cast<std::int64_t>(archive_.names().size());
    return complete;
  }

  bool read_about() {
    const auto text = archive_.text(about_member, limits::pack_json_bytes);
    if (problems_.take(about_member, text)) return false;
    auto about = json::parse(text.value());
    if (problems_.take(about_member, about)) return false;
    about_ = std::move(about).value();
    const Value* subject = about_.find("subject");
    if (about_.text_at("format") != format_name || subject == nullptr) {
      problem(about_member, say("evidence.other-format", {{"format", format_name}}));
      return false;
    }
    const auto word = [&](std::string_view name) { return std::string(about_.text_at(name).value_or("")); };
    checked_.subject_kind = subject->text_at("kind").value_or("");
    checked_.subject_id = subject->text_at("id").value_or("");
    checked_.facility = word("facility");
    checked_.as_known_at = word("as_known_at");
    return true;
  }

  bool read_checkpoint() {
    const auto text = archive_.text(checkpoint_member, limits::note_bytes);
    if (problems_.take(checkpoint_member, text)) return false;
    auto note = log::parse_note(text.value());
    if (problems_.take(checkpoint_member, note)) return false;
    auto checkpoint = log::parse_checkpoint(note.value());
    if (problems_.take(checkpoint_member, checkpoint)) return false;
    checkpoint_text_ = text.value();
    note_ = std::move(note).value();
    checkpoint_ = std::move(checkpoint).value();
    checked_.size = checkpoint_->head.size;
    checked_.root = hex(checkpoint_->head.root);
    checked_.origin = checkpoint_->origin;
    const bool as_told = about_.text_at("origin") == checkpoint_->origin &&
                         about_.number_at("size") == static_cast<double>(checkpoint_->head.size) &&
                         about_.text_at("root") == checked_.root;
    if (!as_told) problem(about_member, say("evidence.other-checkpoint"));
    return true;
  }

  // The lines of the next proof up to its empty line; with the checkpoint behind it, a C2SP tlog-proof.
  std::optional<log::InclusionProof> next_proof(MemberReader& proofs) {
    std::string text;
    while (text.size() <= limits::proof_bytes) {
      const auto line = proofs.line(limits::proof_bytes);
      if (problems_.take(proofs_member, line) || !line.value()) return std::nullopt;
      text += std::string(*line.value()) + "\n";
      if (line.value()->empty()) break;
    }
    auto proof = log::parse_inclusion_proof(text + checkpoint_text_);
    if (problems_.take(proofs_member, proof)) return std::nullopt;
    ++checked_.counts.proofs;
    return std::move(proof).value();
  }

  void check_entries() {
    auto lines = archive_.reader(entries_member);
    auto proofs = archive_.reader(proofs_member);
    walk_.emplace(entries_member, EntryWalk::Extent::some, problems_);
    if (problems_.take(entries_member, lines) || problems_.take(proofs_member, proofs)) return;
    bool named = false;
    while (true) {
      const auto line = lines.value().line(limits::pack_line_bytes);
      if (problems_.take(entries_member, line) || !line.value()) break;
      const Entry* const entry = walk_->take(*line.value());
      if (!entry) break;
      hashes_.emplace(entry->seq, entry->hash);
      const Value event = entry->event();
      gather_references(event, references_);
      named = named || names(event, checked_.subject_kind, checked_.subject_id);
      const auto proof = next_proof(proofs.value());
      const std::string seq = std::to_string(entry->seq);
      if (!proof || proof->index + 1 != static_cast<std::uint64_t>(entry->seq)) {
        problem(proofs_member, say("evidence.no-proof", {{"seq", seq}}));
        break;
      }
      if (!log::check_inclusion(entry->hash, proof->index, checkpoint_->head.size, checkpoint_->head.root, proof->path))
        problem(proofs_member, say("evidence.not-in-record", {{"seq", seq}}));
    }
    const auto rest = proofs.value().line(limits::proof_bytes);
    if (rest.ok() && rest.value()) problem(proofs_member, say("evidence.proofs-left"));
    walk_->finish();
    if (!named)
      problem(entries_member,
              say("evidence.subject-unnamed", {{"kind", checked_.subject_kind}, {"id", checked_.subject_id}}));
    if (about_.number_at("entries") != static_cast<double>(walk_->entries()))
      problem(entries_member, say("evidence.other-count"));
    checked_.counts.entries = walk_->entries();
    checked_.counts.signatures = walk_->signatures();
    checked_.counts.keys = static_cast<std::int64_t>(walk_->keys().size());
    checked_.ledger = walk_->ledger();
    for (const Suspect& one : walk_->suspects()) checked_.open.push_back(suspect_line(one));
  }

  static std::string suspect_line(const Suspect& suspect) {
    constexpr std::size_t named = 20;
    std::string seqs;
    for (std::size_t i = 0; i < std::min(named, suspect.seqs.size()); ++i)
      seqs += (i == 0 ? "" : ", ") + std::to_string(suspect.seqs[i]);
    if (suspect.seqs.size() > named) seqs += " …";
    return say("evidence.key-stolen", {{"owner", suspect.owner},
                                       {"since", suspect.theft.since_text},
                                       {"told", std::to_string(suspect.theft.told)},
                                       {"count", std::to_string(suspect.seqs.size())},
                                       {"seqs", seqs}});
  }

  void check_signer() {
    if (walk_->ledger() != about_.text_at("ledger") || walk_->origin() != checkpoint_->origin)
      problem(checkpoint_member, say("evidence.other-ledger"));
    const std::string* key = signer_of(*note_, checkpoint_->origin, walk_->keys());
    if (key == nullptr) return problem(checkpoint_member, say("evidence.unsigned-checkpoint"));
    log::VerifierKey verifier{.name = checkpoint_->origin, .key = {}};
    static_cast<void>(from_hex(*key, verifier.key));  // it signed the note, so it is one
    checked_.vkey = log::vkey(verifier);
    if (about_.text_at("vkey") != checked_.vkey) problem(about_member, say("evidence.other-vkey"));
  }

  // Names in a list of pack.json of what entries name and the pack does not hold.
  std::set<std::string> told_absent(std::string_view list) {
    std::set<std::string> out;
    const Value* items = about_.find(list);
    if (items == nullptr || !items->is_list()) return out;
    for (const Value& one : items->items()) out.emplace(one.text_at("sha256").value_or(""));
    return out;
  }

  // Everything that the entries name is there, or the pack says that it is not.
  void check_present(std::string_view member, const std::set<std::string>& named, const std::set<std::string>& there,
                     const std::set<std::string>& absent, std::int64_t& absent_count) {
    for (const std::string& one : named) {
      if (there.contains(one)) continue;
      if (absent.contains(one))
        ++absent_count;
      else
        problem(member, say("evidence.named-not-there", {{"sha256", one}}));
    }
    for (const std::string& one : there) {
      if (!named.contains(one)) problem(member, say("evidence.there-not-named", {{"sha256", one}}));
    }
  }

  void check_texts() {
    std::set<std::string> there;
    auto lines = archive_.reader(texts_member);
    if (problems_.take(texts_member, lines)) return;
    while (true) {
      const auto line = lines.value().line(limits::pack_line_bytes);
      if (problems_.take(texts_member, line) || !line.value()) break;
      const auto text = json::parse(*line.value());
      const auto salt = text.ok() ? from_hex(text.value().text_at("salt").value_or("")) : std::nullopt;
      const auto plain = text.ok() ? text.value().text_at("text") : std::nullopt;
      if (!salt || salt->size() != 16 || !plain) {
        problem(texts_member, say("evidence.no-text"));
        break;
      }
      const std::string stand_in = hex(crypto::sha256({*salt, as_bytes(*plain)}));
      if (text.value().text_at("sha256") != stand_in || !there.insert(stand_in).second)
        problem(texts_member, say("evidence.text-changed", {{"sha256", stand_in}}));
    }
    check_present(texts_member, references_.texts, there, told_absent("texts_absent"), checked_.counts.absent_texts);
    checked_.counts.texts = static_cast<std::int64_t>(there.size());
  }

  // Their hashes were compared with their names before.
  void check_attachments() {
    std::set<std::string> there;
    for (const std::string& name : archive_.names()) {
      if (name.starts_with(attachments_folder)) there.insert(name.substr(attachments_folder.size()));
    }
    check_present(attachments_folder, references_.files, there, told_absent("files_absent"),
                  checked_.counts.absent_attachments);
    checked_.counts.attachments = static_cast<std::int64_t>(there.size());
  }

  // Their form; what they prove shows when somebody brings an earlier checkpoint.
  void check_consistency_proofs() {
    for (const std::string& name : archive_.names()) {
      if (!name.starts_with(consistency_folder)) continue;
      const auto text = archive_.text(name, limits::proof_bytes);
      if (problems_.take(name, text)) continue;
      const auto proof = log::parse_consistency_proof(text.value());
      if (problems_.take(name, proof)) continue;
      const std::string wanted = std::string(consistency_folder) + std::to_string(proof.value().older_size) + ".txt";
      if (name != wanted || proof.value().checkpoint != checkpoint_text_) problem(name, say("evidence.other-growth"));
    }
  }

  // The earlier size that a given checkpoint tells of, so that the root there is kept on the way.
  std::uint64_t anchored_size() const {
    if (!anchor_.checkpoint) return 0;
    const auto note = log::parse_note(*anchor_.checkpoint);
    if (!note.ok()) return 0;
    const auto checkpoint = log::parse_checkpoint(note.value());
    return checkpoint.ok() ? checkpoint.value().head.size : 0;
  }

  void check_whole() {
    const bool told = about_.bool_at("whole") == true;
    if (told != archive_.has(whole_member)) {
      problem(whole_member, say(told ? "evidence.member-missing" : "evidence.not-in-sums"));
      return;
    }
    if (!told) return;
    auto lines = archive_.reader(whole_member);
    if (problems_.take(whole_member, lines)) return;
    const auto found = walk_whole(lines.value(),
                                  {.head = checkpoint_->head,
                                   .subject_kind = checked_.subject_kind,
                                   .subject_id = checked_.subject_id,
                                   .given = hashes_,
                                   .kept_size = anchored_size()},
                                  problems_);
    checked_.counts.whole = found.entries;
    kept_root_ = found.kept_root;
  }

  std::optional<Digest> root_at(std::uint64_t size) const {
    return size > 0 && size == anchored_size() ? kept_root_ : std::nullopt;
  }

  void check_signature() {
    if (!archive_.has(signature_member)) {
      checked_.open.push_back(say("evidence.page-unsigned"));
      return;
    }
    const auto text = archive_.text(signature_member, limits::note_bytes);
    if (problems_.take(signature_member, text)) return;
    const auto said = json::parse(text.value());
    if (problems_.take(signature_member, said)) return;
    const std::string key(said.value().text_at("key").value_or(""));
    const auto signature = from_hex(said.value().text_at("sig").value_or(""));
    const auto known = walk_->keys().find(key);
    crypto::PublicKey public_key{};
    const bool may_sign = known != walk_->keys().end() && known->second.sort != "ledger" && !known->second.retired;
    const std::string signs = signed_text(walk_->ledger(), sums_);
    if (!may_sign || !signature || !from_hex(key, public_key) ||
        !crypto::check_signature(public_key, as_bytes(signs), *signature))
      return problem(signature_member, say("evidence.signature"));
    checked_.page_signed = true;
    checked_.page_signed_by = known->second.owner;
  }

  const Archive& archive_;
  const Anchor& anchor_;
  Checked& checked_;
  Problems problems_;
  Value about_;
  Digest sums_{};
  std::string checkpoint_text_;
  std::optional<log::Note> note_;
  std::optional<log::Checkpoint> checkpoint_;
  std::optional<EntryWalk> walk_;
  std::map<std::int64_t, Digest> hashes_;  // of the entries in the pack
  References references_;
  std::optional<Digest> kept_root_;
};

}  // namespace

Result<Checked> check(const std::string& path, const Anchor& anchor) {
  TRY_LET(const Archive archive, Archive::open(path));
  Checked checked;
  TRY_LET(const Digest sha256, sha256_of_file(path));
  checked.sha256 = hex(sha256);
  Check(archive, anchor, checked).run();
  return checked;
}

json::Value to_json(const Checked& checked) {
  Value problems = Value::list();
  for (const Problem& one : checked.problems)
    problems.push(Value::object().set("member", one.member).set("what", one.what));
  Value open = Value::list();
  for (const std::string& one : checked.open) open.push(one);
  const Counts& counts = checked.counts;
  return Value::object()
      .set("ok", checked.is_good())
      .set("holds", checked.holds())
      .set("whose", checked.by_checkpoint ? Value("checkpoint")
                    : checked.by_key      ? Value("ledger-key")
                                          : Value())
      .set("page_signed_by", checked.page_signed ? Value(checked.page_signed_by) : Value())
      .set("subject", Value::object().set("kind", checked.subject_kind).set("id", checked.subject_id))
      .set("facility", checked.facility)
      .set("ledger", checked.ledger)
      .set("origin", checked.origin)
      .set("vkey", checked.vkey)
      .set("size", static_cast<std::int64_t>(checked.size))
      .set("root", checked.root)
      .set("as_known_at", checked.as_known_at)
      .set("sha256", checked.sha256)
      .set("checked", Value::object()
                          .set("members", counts.members)
                          .set("entries", counts.entries)
                          .set("proofs", counts.proofs)
                          .set("signatures", counts.signatures)
                          .set("keys", counts.keys)
                          .set("texts", counts.texts)
                          .set("attachments", counts.attachments)
                          .set("whole", counts.whole ? Value(*counts.whole) : Value()))
      .set("absent", Value::object().set("texts", counts.absent_texts).set("attachments", counts.absent_attachments))
      .set("open", std::move(open))
      .set("problem_count", static_cast<std::int64_t>(checked.problem_count))
      .set("problems", std::move(problems));
}

}  // namespace trayproof::evidence
