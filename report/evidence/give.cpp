#include "report/evidence/give.h"

#include <unistd.h>

#include <algorithm>
#include <memory>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/log/chain.h"
#include "ledger/log/proof.h"
#include "ledger/log/proof_pass.h"
#include "ledger/store/attachment_stream.h"
#include "ledger/version.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/evidence/check/file_hash.h"
#include "report/evidence/check/format.h"
#include "report/evidence/check/references.h"
#include "report/evidence/gather.h"
#include "report/evidence/lines.h"
#include "report/evidence/state.h"
#include "report/evidence/telling.h"
#include "report/evidence/zip_writer.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/review/review.h"

namespace trayproof::evidence {
namespace {

using json::Value;

class Pack {
 public:
  Pack(Ledger& ledger, links::Links& tables, const Giving& giving)
      : ledger_(ledger), tables_(tables), giving_(giving) {}

  Result<Given> run() {
    TRY_LET(state_, signed_state(ledger_, tables_));
    TRY_LET(editions_, ledger_.editions(tables_.known_at()));
    if (editions_.empty()) return Error(ErrorCode::missing, say("review.no-edition"));
    TRY_LET(belonging_, belonging(tables_, giving_.subject, editions_));
    for (const auto& [seq, why] : belonging_.entries) seqs_.push_back(seq);
    TRY(read_last());
    TRY(gather_beside());
    TRY(add_proofs());
    add_entries();
    TRY(add_page());
    members_.push_back(member_of(std::string(checkpoint_member), state_.note));
    members_.push_back(member_of(std::string(about_member), json::indented(about()) + "\n"));
    for (Member& member : members_) TRY(measure(member));
    TRY(add_sums());
    TRY(keep_to_limits());
    return write();
  }

 private:
  void put(std::string_view name, std::string bytes) {
    members_.push_back(member_of(std::string(name), std::move(bytes)));
  }

  Result<void> read_last() {
    TRY_LET(const auto last, ledger_.entry(belonging_.size));
    TRY_LET(const auto event, json::parse(last.bytes));
    recorded_ = event.text_at("recorded").value_or("");
    const auto at = parse_date_time(recorded_);
    if (!at) return Error(ErrorCode::corrupt, say("review.no-recorded", {{"seq", std::to_string(belonging_.size)}}));
    as_of_ = at->instant;
    return {};
  }

  // Texts and files that the entries name; what is not there is told, with the reason.
  Result<void> gather_beside() {
    References named;
    References names_of_persons;
    for (const std::int64_t seq : seqs_) {
      TRY_LET(const auto entry, ledger_.entry(seq));
      TRY_LET(const auto event, json::parse(entry.bytes));
      gather_references(event, named);
      const Value* replacement = event.find("replacement");
      const Value& says = replacement != nullptr && replacement->is_object() ? *replacement : event;
      if (const Value* name = says.find("name"); says.text_at("kind") == "person-enrolled" && name != nullptr)
        gather_references(*name, names_of_persons);
    }
    std::string texts;
    for (const std::string& one : named.texts) {
      Digest digest{};
      CHECK(from_hex(one, digest));
      TRY_LET(const auto text, ledger_.file().text(digest));
      const bool kept_back = names_of_persons.texts.contains(one);
      if (text && !kept_back)
        texts += text_line(*text);
      else
        texts_absent_.push(Value::object().set("sha256", one).set("why", kept_back ? "kept-back" : "removed"));
    }
    put(texts_member, std::move(texts));
    for (const std::string& one : named.files) {
      Digest digest{};
      CHECK(from_hex(one, digest));
      TRY_LET(const bool there, ledger_.has_attachment(digest));
      if (there)
        add_attachment(digest);
      else
        files_absent_.push(Value::object().set("sha256", one).set("why", "not-kept"));
    }
    return {};
  }

  void add_attachment(const Digest& digest) {
    ++given_.attachments;
    Member member;
    member.name = std::string(attachments_folder) + hex(digest);
    const Ledger& ledger = ledger_;
    member.open = [&ledger, digest]() -> Chunks {
      // Piece by piece: an export may be larger than memory.
      const auto reader = std::make_shared<std::optional<store::AttachmentReader>>();
      return [&ledger, digest, reader]() -> Result<std::string> {
        if (!*reader) {
          TRY_LET(*reader, store::AttachmentReader::open(ledger.file(), digest));
        }
        TRY_LET(const Bytes part, (*reader)->next());
        return std::string(as_text(part));
      };
    };
    members_.push_back(std::move(member));
  }

  // One pass over all hashes: every proof, and that the entries given are those that were hashed.
  Result<void> add_proofs() {
    TRY_LET(const auto older, older_sizes(ledger_, belonging_));
    log::WantedProofs wanted{.size = state_.head.size, .leaves = {}, .older_sizes = older};
    for (const std::int64_t seq : seqs_) wanted.leaves.push_back(static_cast<std::uint64_t>(seq - 1));
    const auto pass = std::make_shared<log::ProofPass>(wanted);
    std::size_t next = 0;
    TRY(ledger_.scan(1, belonging_.size, [&](const store::EntryView& entry) -> Result<void> {
      Digest hash{};
      if (entry.hash.size() == hash.size()) std::copy(entry.hash.begin(), entry.hash.end(), hash.begin());
      pass->add(hash);
      if (next == seqs_.size() || seqs_[next] != entry.seq) return {};
      ++next;
      if (log::leaf_hash(entry.bytes) != hash)
        return Error(ErrorCode::corrupt, say("pack.broken-entry", {{"seq", std::to_string(entry.seq)}}));
      return {};
    }));
    if (!pass->complete() || pass->head().root != state_.head.root)
      return Error(ErrorCode::corrupt, say("proof.other-root", {{"size", std::to_string(state_.head.size)}}));
    for (const std::uint64_t size : older) {
      const log::ConsistencyProof proof{.older_size = size, .path = pass->consistency(size), .checkpoint = state_.note};
      put(std::string(consistency_folder) + std::to_string(size) + ".txt", log::to_text(proof));
    }
    Member proofs;
    proofs.name = proofs_member;
    proofs.open = [this, pass]() -> Chunks {
      return [this, pass, at = std::size_t{0}]() mutable -> Result<std::string> {
        std::string out;
        for (; at < seqs_.size() && out.size() < 65536; ++at) {
          const auto leaf = static_cast<std::uint64_t>(seqs_[at] - 1);
          // Without the checkpoint, which is the same for all and stands in a member of its own.
          out += log::to_text(
              log::InclusionProof{.index = leaf, .path = pass->inclusion(leaf), .checkpoint = "", .extra = {}});
        }
        return out;
      };
    };
    members_.push_back(std::move(proofs));
    return {};
  }

  void add_entries() {
    Member some;
    some.name = entries_member;
    some.open = [this]() -> Chunks {
      return [this, at = std::size_t{0}]() mutable -> Result<std::string> {
        std::string out;
        for (; at < seqs_.size() && out.size() < 65536; ++at) {
          TRY_LET(const auto entry, ledger_.entry(seqs_[at]));
          out += entry_line({entry.seq, entry.bytes, entry.hash, entry.sig});
        }
        return out;
      };
    };
    members_.push_back(std::move(some));
    if (!giving_.whole) return;
    Member whole;
    whole.name = whole_member;
    whole.open = [this]() -> Chunks {
      return [this, at = std::int64_t{1}]() mutable -> Result<std::string> {
        std::string out;
        constexpr std::int64_t step = 200;
        const std::int64_t last = std::min(at + step - 1, belonging_.size);
        TRY(ledger_.scan(at, last, [&](const store::EntryView& entry) -> Result<void> {
          out += entry_line(entry);
          return {};
        }));
        at = last + 1;
        return out;
      };
    };
    members_.push_back(std::move(whole));
  }

  // Of everybody whom the entries name, where numbers are asked for.
  Result<void> number_patients(const Value& value, std::map<std::string, std::string, std::less<>>& numbers) const {
    if (value.is_list()) {
      for (const Value& item : value.items()) TRY(number_patients(item, numbers));
    } else if (value.is_object()) {
      for (const json::Member& member : value.members()) TRY(number_patients(member.value, numbers));
    } else if (value.is_text() && is_hex(value.text(), std::tuple_size_v<crypto::Token>)) {
      TRY_LET(auto number, giving_.number_of(value.text()));
      if (number) numbers.emplace(value.text(), std::move(*number));
    }
    return {};
  }

  Result<void> add_page() {
    gaps::Surroundings around{.editions = editions_,
                              .what_if = {},
                              .now = as_of_,
                              .from = {},
                              .until = {},
                              .recall_answers = review::kept_answers(ledger_),
                              .recall_again = gaps::recall_again(ledger_, tables_),
                              .recall_work = gaps::recall_work(ledger_, tables_)};
    TRY_LET(const gaps::Facts facts, gaps::read_facts(tables_.database(), std::move(around)));
    const gaps::Findings findings = gaps::find_gaps(facts, {});
    const review::FindingIndex index(findings.gaps);
    TRY_LET(const auto negatives, review::ValidNegatives::read(tables_.database(), facts));
    const std::vector<review::JudgingEdition> judging;
    const review::Material material{.ledger = ledger_,
                                    .tables = tables_,
                                    .facts = facts,
                                    .in_period = findings,
                                    .ever = index,
                                    .negatives = negatives,
                                    .editions = judging,
                                    .period = {}};
    Telling telling{.belonging = belonging_, .material = material};
    TRY_LET(telling.curves, draw_curves(ledger_, tables_, editions_, belonging_, telling.curves_left_out));
    telling.findings = findings_of(belonging_, findings);
    telling.cautions = giving_.cautions(methods_and_agents(belonging_, facts));
    const auto& described = facts.of("facility-described");
    if (!described.empty()) facility_ = described.back().text("title");
    telling.facility = facility_;
    telling.as_known_at = telling.stamp(as_of_);
    telling.program = program_name();
    telling.root = hex(state_.head.root);
    telling.vkey = log::vkey(ledger_.ledger_key());
    telling.origin = ledger_.origin();
    TRY_LET(telling.keys, ledger_.key_book());
    if (ledger_.keys() != nullptr) telling.signed_by = ledger_.station();
    telling.absent_texts = texts_absent_.items().size();
    telling.absent_files = files_absent_.items().size();
    telling.whole = giving_.whole;
    if (giving_.number_of) {
      for (const std::int64_t seq : seqs_) {
        TRY_LET(const auto entry, ledger_.entry(seq));
        TRY_LET(const auto event, json::parse(entry.bytes));
        TRY(number_patients(event, telling.numbers));
      }
    }
    TRY_LET(auto html, page(telling));
    put(page_member, std::move(html));
    put(manual_member, manual(telling));
    return {};
  }

  Value about() const {
    return Value::object()
        .set("format", format_name)
        .set("subject", Value::object().set("kind", giving_.subject.kind).set("id", giving_.subject.id))
        .set("facility", facility_)
        .set("ledger", ledger_.ledger_id())
        .set("origin", ledger_.origin())
        .set("vkey", log::vkey(ledger_.ledger_key()))
        .set("size", belonging_.size)
        .set("root", hex(state_.head.root))
        .set("as_known_at", recorded_)
        .set("program", program_name())
        .set("whole", giving_.whole)
        .set("entries", static_cast<std::int64_t>(seqs_.size()))
        .set("texts_absent", texts_absent_)
        .set("files_absent", files_absent_);
  }

  // The list of hashes, and the station's signature over it where its key is at hand.
  Result<void> add_sums() {
    std::sort(members_.begin(), members_.end(), [](const Member& a, const Member& b) { return a.name < b.name; });
    std::string sums;
    for (const Member& member : members_) sums += hex(member.sha256) + "  " + member.name + "\n";
    const Digest digest = crypto::sha256(as_bytes(sums));
    Member list = member_of(std::string(sums_member), std::move(sums));
    TRY(measure(list));
    members_.push_back(std::move(list));
    if (ledger_.keys() == nullptr) return {};
    const crypto::SigningKey& key = ledger_.keys()->station_key;
    const auto signature = key.sign(as_bytes(signed_text(ledger_.ledger_id(), digest)));
    const Value said = Value::object().set("key", hex(key.public_key())).set("sig", hex(signature));
    Member signed_member = member_of(std::string(signature_member), json::plain(said) + "\n");
    TRY(measure(signed_member));
    members_.push_back(std::move(signed_member));
    return {};
  }

  Result<void> keep_to_limits() const {
    std::uint64_t plain = 0;
    for (const Member& member : members_) plain += member.bytes;
    if (plain > limits::pack_plain_bytes || members_.size() > limits::pack_members)
      return Error(ErrorCode::invalid, say("pack.too-large", {{"members", std::to_string(members_.size())},
                                                              {"bytes", std::to_string(plain)}}));
    return {};
  }

  Result<Given> write() {
    TRY_LET(const auto name, new_file_beside(giving_.output));
    auto done = write_under(name);
    if (!done.ok()) ::unlink(name.c_str());
    return done;
  }

  // Recorded first and then given its name: a pack that nobody recorded would be worse than a record of one that a full
  // disk kept back.
  Result<Given> write_under(const std::string& name) {
    TRY(write_zip(name, members_, as_of_));
    TRY_LET(const Digest sha256, sha256_of_file(name));
    given_.sha256 = hex(sha256);
    given_.size = belonging_.size;
    given_.entries = seqs_.size();
    given_.absent = texts_absent_.items().size() + files_absent_.items().size();
    TRY(make_durable(name, giving_.number_of ? FileMode::owner_only : FileMode::shared));
    if (ledger_.writable()) TRY(record());
    TRY(rename_new(name, giving_.output));
    return given_;
  }

  Result<void> record() {
    const DateTime now = tables_.zone().local(ledger_.clock().now());
    Value event = Value::object();
    event.set("kind", "evidence-given").set("at", format_date_time(now)).set("by", ledger_.actor());
    event.set("subject", Value::object().set("kind", giving_.subject.kind).set("id", giving_.subject.id));
    event.set("size", belonging_.size).set("file", given_.sha256);
    AppendOptions options;
    options.giver = events::Giver::program;
    options.same_content_repeats = false;
    TRY_LET(const auto done, ledger_.append({{0, std::move(event)}}, options));
    if (!done.refusals.empty()) {
      const events::Refusal& first = done.refusals.front();
      return Error(ErrorCode::invalid, say("pack.not-recorded-why", {{"field", first.field}, {"why", first.why}}));
    }
    given_.recorded = done.first;
    return {};
  }

  Ledger& ledger_;
  links::Links& tables_;
  const Giving& giving_;
  State state_;
  sop::Editions editions_;
  Belonging belonging_;
  std::vector<std::int64_t> seqs_;
  std::vector<Member> members_;
  Value texts_absent_ = Value::list();
  Value files_absent_ = Value::list();
  std::string facility_, recorded_;
  Instant as_of_;
  Given given_;
};

}  // namespace

Result<Given> give(Ledger& ledger, links::Links& tables, const Giving& giving) {
  TRY(can_be_made(giving.output));
  return Pack(ledger, tables, giving).run();
}

}  // namespace trayproof::evidence
