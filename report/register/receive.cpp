#include "report/register/receive.h"

#include <algorithm>

#include "ledger/base/check.h"
#include "ledger/log/cosignature.h"
#include "ledger/words/words.h"
#include "report/register/facility_title.h"
#include "report/register/foreign_text.h"

namespace trayproof::registry {
namespace {

using json::Value;

constexpr std::int64_t hashes_at_once = 4096;

// The held hashes of one line, in order, a page at a time.
class HeldHashes {
 public:
  HeldHashes(Past& past, const Line& line) : past_(past), line_(line) {}
  const Line& line() const { return line_; }
  Result<Digest> at(std::int64_t seq) {
    if (page_.empty() || seq >= from_ + static_cast<std::int64_t>(page_.size())) {
      TRY_LET(page_, past_.hashes(line_, seq, hashes_at_once));
      from_ = seq;
    }
    return page_[static_cast<std::size_t>(seq - from_)];
  }

 private:
  Past& past_;
  const Line& line_;
  std::int64_t from_ = 0;
  std::vector<Digest> page_;
};

bool is_signed_by_any(const parcel::About& about, const std::vector<std::pair<std::int64_t, Value>>& kept) {
  const auto note = log::parse_note(about.checkpoint);
  if (!note.ok()) return false;
  return std::any_of(kept.begin(), kept.end(), [&](const auto& one) {
    const Value& event = one.second;
    if (event.text_at("kind") != "key-added" || event.text_at("sort") != "ledger") return false;
    log::VerifierKey key{about.origin, {}};
    return from_hex(event.text_at("public").value_or(""), key.key) && log::is_signed_by(note.value(), key);
  });
}

class Receiving {
 public:
  Receiving(Connection& connection, const parcel::Arrived& arrived, const WitnessKey& witness, Instant now, Past past)
      : connection_(connection),
        arrived_(arrived),
        about_(arrived.about()),
        witness_(witness),
        now_(now),
        past_(std::move(past)) {}

  // True: what was done is to be committed.
  Result<bool> run() {
    done_.ledger = about_.ledger;
    TRY(read_title());
    done_.since = about_.since;
    done_.size = static_cast<std::int64_t>(about_.head.size);
    const Line* const present = past_.present();
    done_.new_here = present == nullptr;
    done_.held = present == nullptr ? 0 : present->size;
    if (about_.since > past_.size_most()) {
      done_.outcome = Outcome::needs_before;
      return false;
    }
    parcel::Before before;
    if (present != nullptr) {
      TRY(find_lines_at_beginning());
      if (matching_.empty()) return other_past(*present);
      TRY_LET(before, past_.before(matching_.front().line(), about_.since));
    }
    TRY_LET(const auto walked, arrived_.walk(before, [this](const evidence::Entry& entry) { return take(entry); }));
    done_.signatures = walked.signatures;
    done_.wrong = walked.wrong;
    if (!done_.wrong && is_impostor()) done_.wrong = parcel::Wrong{.seq = 1, .what = say("district.other-first")};
    if (!done_.wrong && noted_ && !copy_) TRY(part(false));
    if (done_.wrong) {
      done_.outcome = Outcome::refused;
      return false;
    }
    return finish(walked);
  }
  Received& done() { return done_; }

 private:
  // As the register knows it; where its tables were never worked out, as it was opened.
  Result<void> read_title() {
    TRY_LET(const Rows rows, connection_.ask("SELECT " + title_sql("$1::text"), Parameters().add(about_.ledger)));
    if (rows.text(0, 0) != about_.ledger) {
      done_.facility = foreign_text(rows.text(0, 0));
      return {};
    }
    constexpr std::int64_t opening_entries = 16;  // a ledger describes its facility among the first of them
    TRY_LET(
        const Rows first,
        connection_.ask("SELECT entry FROM register.entries WHERE ledger = $1 AND line = 1 AND seq <= $2 AND kind = "
                        "'facility-described' ORDER BY seq DESC LIMIT 1",
                        Parameters().add(about_.ledger).add(opening_entries)));
    if (first.count() == 0) return {};
    TRY_LET(const auto described, json::parse(first.text(0, 0)));
    done_.facility = foreign_text(described.text_at("title").value_or(""));
    return {};
  }

  // The lines that have the entry before the parcel's first. Where it has none, those whose root is the parcel's.
  Result<void> find_lines_at_beginning() {
    TRY_LET(const auto prev, arrived_.first_prev());
    for (const Line& line : past_.lines()) {
      if (line.size < about_.since) continue;
      bool same = about_.since == 0;
      if (!same && prev) {
        TRY_LET(const auto held, past_.hash_at(line, about_.since));
        same = held && hex(*held) == *prev;
      } else if (!same) {
        TRY_LET(const auto before, past_.before(line, about_.since));
        same = before.tree.root() == about_.head.root;
      }
      if (same) matching_.emplace_back(past_, line);
    }
    return {};
  }

  // Where the two pasts part is not in this parcel. That the ledger told another one is: its own keys signed entries
  // that hold together and name another entry before them, or a checkpoint of a size that is held, under another root.
  Result<bool> other_past(const Line& present) {
    // Only a line that is not counted reaches as far: what lies between the present past and this parcel is not here.
    if (about_.since > present.size) {
      done_.outcome = Outcome::needs_before;
      return false;
    }
    const auto refused = [this](parcel::Wrong wrong) {
      done_.outcome = Outcome::refused;
      done_.wrong = std::move(wrong);
      return false;
    };
    TRY_LET(auto before, past_.before(present, about_.since));
    if (!is_signed_by_any(about_, before.kept))
      return refused({.seq = std::nullopt, .what = say("evidence.unsigned-checkpoint")});
    TRY_LET(const auto prev, arrived_.first_prev());
    if (prev && !from_hex(*prev, before.last_hash))
      return refused({.seq = about_.since + 1, .what = say("verify.prev")});
    TRY_LET(const auto walked, arrived_.walk(before, [](const evidence::Entry&) { return Result<void>(); }));
    if (!walked.wrong || walked.wrong->seq)
      return refused(walked.wrong.value_or(parcel::Wrong{.seq = about_.since + 1, .what = say("verify.prev")}));
    done_.outcome = Outcome::other_past;
    TRY(record_delivery(std::nullopt));
    return true;
  }

  // Each entry that holds: held already, or new to the line that it goes on, or the first of another past.
  Result<void> take(const evidence::Entry& entry) {
    if (past_.present() == nullptr && entry.kind == "facility-described")
      title_ = entry.event().text_at("title").value_or("");
    if (is_impostor()) return {};
    if (!copy_ && !parted_from_) {
      if (past_.present() == nullptr) {
        TRY(open_line("first", 0, 0));
      } else {
        TRY_LET(const bool held, is_held(entry));
        if (held || is_impostor()) return {};
      }
      if (!parted_from_) TRY(begin_copy());
    }
    if (!copy_) {
      // A clock that jumped is noted before whatever was recorded first, so before a restore too.
      if (entry.kind == "clock-noted" && !noted_) {
        noted_ = entry;
        return {};
      }
      TRY(part(entry.kind == "ledger-restored"));
    }
    return put(entry);
  }

  // Opens the line of a past that is another than those held. A line that begins in what is not counted is not counted.
  Result<void> part(bool restored) {
    const bool counted = restored && !past_.is_fork(*parted_from_);
    TRY(open_line(counted ? "restored" : "fork", parted_from_->line, *done_.parted - 1));
    TRY(begin_copy());
    return noted_ ? put(*noted_) : Result<void>();
  }

  Result<void> begin_copy() {
    TRY_LET(auto copy,
            CopyIn::begin(connection_, "register.entries (ledger, line, seq, kind, recorded, entry, hash, sig)", 8));
    copy_.emplace(std::move(copy));
    return {};
  }

  // Another first entry is another ledger that took this one's id.
  bool is_impostor() const { return done_.parted == 1; }

  Result<bool> is_held(const evidence::Entry& entry) {
    std::vector<HeldHashes> still;
    const Line* ended = nullptr;
    for (HeldHashes& one : matching_) {
      if (one.line().size < entry.seq) {
        ended = &one.line();
        continue;
      }
      TRY_LET(const Digest held, one.at(entry.seq));
      if (held == entry.hash) still.push_back(std::move(one));
    }
    if (!still.empty()) {
      std::swap(matching_, still);
      return true;
    }
    if (ended != nullptr) {
      line_ = ended->line;
      why_ = ended->why;
      done_.held = ended->size;
      return false;
    }
    parted_from_ = &matching_.front().line();
    done_.parted = entry.seq;
    return false;
  }

  Result<void> open_line(const std::string& why, std::int64_t base, std::int64_t base_size) {
    line_ = past_.lines().empty() ? 1 : past_.lines().back().line + 1;
    why_ = why;
    Parameters row;
    row.add(about_.ledger).add(line_).add(why);
    row.add(base == 0 ? std::optional<std::int64_t>() : std::optional(base)).add(base_size).add(now_);
    TRY(connection_.ask(
        "INSERT INTO register.lines (ledger, line, why, base_line, base_size, opened) VALUES ($1, $2, $3, $4, "
        "$5, $6)",
        row));
    return {};
  }

  Result<void> put(const evidence::Entry& entry) {
    CHECK(entry.recorded.has_value());  // the walk looks
    copy_->row();
    copy_->add(std::string_view(about_.ledger));
    copy_->add_integer(static_cast<std::int32_t>(line_));
    copy_->add_bigint(entry.seq);
    copy_->add(std::string_view(entry.kind));
    copy_->add_time(*entry.recorded);
    copy_->add(std::string_view(entry.bytes));
    copy_->add(ByteView(entry.hash));
    copy_->add(ByteView(entry.sig));
    ++done_.entries;
    return copy_->flush_some();
  }

  // After everything holds.
  Result<bool> finish(const parcel::Walked& walked) {
    if (!copy_) return nothing_new();
    TRY(copy_->finish());
    copy_.reset();
    done_.outcome = Outcome::taken;
    if (done_.new_here) done_.facility = foreign_text(title_);
    if (done_.parted)
      done_.outcome = why_ == "restored" ? Outcome::restored : Outcome::forked;
    else if (!done_.new_here && line_ != past_.present()->line)
      done_.outcome = Outcome::forked;
    if (done_.new_here) {
      TRY(connection_.ask(
          "INSERT INTO register.ledgers (ledger, origin, first, received) VALUES ($1, $2, $3, $4)",
          Parameters().add(about_.ledger).add(about_.origin).add(ByteView(walked.first_hash)).add(now_)));
      log::VerifierKey key{about_.origin, {}};
      from_hex(walked.ledger_key, key.key);
      done_.vkey = log::vkey(key);
    }
    std::optional<std::string> signature;
    if (why_ == "first" && done_.outcome == Outcome::taken) {
      TRY_LET(const auto note, log::parse_note(about_.checkpoint));
      signature = log::cosign(note.text, witness_.name, witness_.key, static_cast<std::uint64_t>(now_.ms / second_ms));
    }
    Bytes peaks;
    for (const Digest& one : walked.tree.peaks()) peaks.insert(peaks.end(), one.begin(), one.end());
    Parameters row;
    row.add(about_.ledger).add(line_).add(done_.size).add(ByteView(about_.head.root)).add(ByteView(walked.last_hash));
    row.add(ByteView(peaks)).add(about_.checkpoint).add(signature).add(now_);
    TRY(connection_.ask(
        "INSERT INTO register.states (ledger, line, size, root, last, peaks, checkpoint, cosigned, received) "
        "VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        row));
    TRY(record_delivery(line_));
    return answer();
  }

  Result<bool> nothing_new() {
    const Line& line = line_of_state();
    line_ = line.line;
    done_.held = line.size;
    done_.outcome = Outcome::repeated;
    if (done_.size < line.size) {
      TRY_LET(const bool after, was_made_after());
      done_.outcome = after ? Outcome::rolled_back : Outcome::older;
    }
    TRY_LET(done_.apart, is_apart(line));
    TRY(record_delivery(line_));
    return answer();
  }

  // Of the lines that hold the parcel's state, the one that answers count; else the oldest.
  const Line& line_of_state() const {
    for (const HeldHashes& one : matching_) {
      if (one.line().line == past_.present()->line) return one.line();
    }
    return matching_.front().line();
  }

  // Whether the state is one that was told beside the past that answers count.
  Result<bool> is_apart(const Line& line) {
    if (line.line == past_.present()->line) return false;
    if (past_.is_fork(line)) return true;
    TRY_LET(const Rows rows, connection_.ask("SELECT count(*) FROM register.deliveries WHERE ledger = $1 AND line = $2 "
                                             "AND outcome = 'forked' AND size <= $3",
                                             Parameters().add(about_.ledger).add(line.line).add(done_.size)));
    return rows.integer(0, 0) > 0;
  }

  // What the register co-signed of this ledger, which may be another state than the parcel's.
  Result<bool> answer() {
    TRY_LET(done_.answer, past_.co_signed());
    if (!done_.answer) return true;
    TRY_LET(const auto note, log::parse_note(*done_.answer));
    TRY_LET(const auto checkpoint, log::parse_checkpoint(note));
    done_.co_signed = checkpoint.head.size == about_.head.size && checkpoint.head.root == about_.head.root;
    return true;
  }

  // By the sender's clock: later than a parcel that brought a line forward that holds this state.
  Result<bool> was_made_after() {
    const auto made = parse_date_time(about_.made);
    if (!made) return false;
    std::string lines;
    for (const HeldHashes& one : matching_)
      lines.append(lines.empty() ? "{" : ",").append(std::to_string(one.line().line));
    TRY_LET(const Rows rows,
            connection_.ask(
                "SELECT count(*) FROM register.deliveries d WHERE ledger = $1 AND size > $2 AND entries > 0 AND "
                "made < $3 AND line = ANY ($4::integer[])",
                Parameters().add(about_.ledger).add(done_.size).add(made->instant).add(lines + "}")));
    return rows.integer(0, 0) > 0;
  }

  Result<void> record_delivery(std::optional<std::int64_t> line) {
    const auto made = parse_date_time(about_.made);
    Digest sha256{};
    from_hex(arrived_.sha256(), sha256);
    Parameters row;
    row.add(about_.ledger).add(now_).add(ByteView(sha256)).add(line).add(about_.since).add(done_.size);
    row.add(made ? std::optional(made->instant) : std::nullopt).add(name_of(done_.outcome)).add(done_.entries);
    row.add(done_.parted).add(about_.checkpoint);
    TRY(connection_.ask(
        "INSERT INTO register.deliveries (ledger, received, sha256, line, since, size, made, outcome, entries, "
        "parted, checkpoint) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) ON CONFLICT DO NOTHING",
        row));
    return {};
  }

  Connection& connection_;
  const parcel::Arrived& arrived_;
  const parcel::About& about_;
  const WitnessKey& witness_;
  Instant now_;
  Past past_;
  std::vector<HeldHashes> matching_;      // lines that agree with the parcel so far
  std::int64_t line_ = 0;                 // where new entries go
  std::string why_;                       // of that line
  std::string title_;                     // of the facility, as a new ledger's entries tell it
  const Line* parted_from_ = nullptr;     // when the parcel tells another past: the line that it parts from
  std::optional<evidence::Entry> noted_;  // its first entry, while the next is to tell whether it is a restore's
  std::optional<CopyIn> copy_;
  Received done_;
};

}  // namespace

std::string name_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::taken:
      return "taken";
    case Outcome::repeated:
      return "repeated";
    case Outcome::older:
      return "older";
    case Outcome::rolled_back:
      return "rolled-back";
    case Outcome::restored:
      return "restored";
    case Outcome::forked:
      return "forked";
    case Outcome::other_past:
      return "other-past";
    case Outcome::needs_before:
      return "needs-before";
    case Outcome::refused:
      return "refused";
  }
  return {};
}

bool is_good(Outcome outcome) {
  return outcome == Outcome::taken || outcome == Outcome::repeated || outcome == Outcome::older;
}

Result<Received> receive(Connection& connection, const parcel::Arrived& arrived, const WitnessKey& witness,
                         Instant now) {
  TRY_LET(auto transaction, Transaction::begin(connection));
  TRY_LET(auto past, Past::lock(connection, arrived.about().ledger));
  Received done;
  bool keep = false;
  {
    Receiving receiving(connection, arrived, witness, now, std::move(past));
    TRY_LET(keep, receiving.run());
    done = std::move(receiving.done());
  }
  if (!keep) return done;
  TRY(transaction.commit());
  return done;
}

}  // namespace trayproof::registry
