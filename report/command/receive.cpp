#include "report/register/receive.h"

#include <algorithm>
#include <optional>
#include <set>
#include <tuple>

#include "ledger/base/files.h"
#include "ledger/words/words.h"
#include "report/command/progress.h"
#include "report/command/register.h"
#include "report/register/derive.h"
#include "report/register/schema.h"

namespace trayproof::command {
namespace {

using json::Value;
using registry::Outcome;
using registry::Received;

struct Waiting {
  std::string file;
  std::string ledger;
  std::int64_t since = 0;
  std::uint64_t size = 0;
};

struct Told {
  std::string file;
  Received received;
  std::optional<std::string> answer;    // file
  std::optional<std::string> unopened;  // why
  bool failed = false;                  // not for what it says, but for the machine or the database
};

// The next question needs another connection.
bool is_gone(const Error& error) {
  return error.code() == ErrorCode::unavailable || error.code() == ErrorCode::uncertain;
}

Told failed(const Waiting& one, const Error& error) {
  Told told{.file = one.file, .received = {}, .answer = {}, .unopened = error.sentence(), .failed = true};
  told.received.ledger = one.ledger;
  told.received.since = one.since;
  told.received.size = static_cast<std::int64_t>(one.size);
  return told;
}

std::string sentence_of(const Told& told) {
  const Received& one = told.received;
  const std::string seq = one.parted ? count_text(*one.parted) : count_text(one.since + 1);
  const std::string file = told.file;
  const std::string facility = one.facility.empty() ? one.ledger : one.facility;
  switch (one.outcome) {
    case Outcome::taken:
      return say(one.co_signed ? "district.taken" : "district.taken-unsigned", {{"file", file},
                                                                                {"facility", facility},
                                                                                {"entries", count_text(one.entries)},
                                                                                {"size", count_text(one.size)}});
    case Outcome::repeated:
      return say(one.apart ? "district.repeated-apart" : "district.repeated",
                 {{"file", file}, {"facility", facility}, {"size", count_text(one.size)}});
    case Outcome::older:
      if (one.apart) {
        return say("district.repeated-apart", {{"file", file}, {"facility", facility}, {"size", count_text(one.size)}});
      }
      return say(
          "district.older",
          {{"file", file}, {"facility", facility}, {"size", count_text(one.size)}, {"held", count_text(one.held)}});
    case Outcome::rolled_back:
      return say(
          "district.rolled-back",
          {{"file", file}, {"facility", facility}, {"size", count_text(one.size)}, {"held", count_text(one.held)}});
    case Outcome::restored:
      return say("district.restored", {{"file", file},
                                       {"facility", facility},
                                       {"seq", seq},
                                       {"lost", count_text(one.held - one.parted.value_or(one.held + 1) + 1)},
                                       {"entries", count_text(one.entries)}});
    case Outcome::forked:
      return say(one.parted ? "district.forked" : "district.fork-goes-on",
                 {{"file", file}, {"facility", facility}, {"seq", seq}, {"entries", count_text(one.entries)}});
    case Outcome::other_past:
      return say("district.other-past", {{"file", file}, {"facility", facility}, {"since", count_text(one.since)}});
    case Outcome::needs_before:
      return say(
          "district.needs-before",
          {{"file", file}, {"facility", facility}, {"since", count_text(one.since)}, {"held", count_text(one.held)}});
    case Outcome::refused:
      break;
  }
  if (told.unopened) return say("district.refused", {{"file", file}, {"why", *told.unopened}});
  if (one.wrong && one.wrong->seq)
    return say("district.refused-at", {{"file", file}, {"seq", count_text(*one.wrong->seq)}, {"why", one.wrong->what}});
  return say("district.refused", {{"file", file}, {"why", one.wrong ? one.wrong->what : std::string()}});
}

Value json_of(const Told& told) {
  const Received& one = told.received;
  Value wrong;
  if (told.unopened) wrong = Value::object().set("seq", Value()).set("what", *told.unopened);
  if (one.wrong)
    wrong = Value::object().set("seq", one.wrong->seq ? Value(*one.wrong->seq) : Value()).set("what", one.wrong->what);
  return Value::object()
      .set("file", told.file)
      .set("outcome", told.failed ? "failed" : name_of(one.outcome))
      .set("ledger", one.ledger)
      .set("facility", one.facility)
      .set("new", one.new_here && one.outcome == Outcome::taken)
      .set("vkey", one.vkey.empty() ? Value() : Value(one.vkey))
      .set("since", one.since)
      .set("size", one.size)
      .set("held", one.held)
      .set("entries", one.entries)
      .set("signatures", one.signatures)
      .set("parted", one.parted ? Value(*one.parted) : Value())
      .set("apart", one.apart)
      .set("co_signed", one.co_signed)
      .set("wrong", std::move(wrong))
      .set("answer", told.answer ? Value(*told.answer) : Value());
}

class Receiver {
 public:
  Receiver(const Context& context, const ReceiveOptions& options) : context_(context), options_(options) {}

  Result<Status> run() {
    if (options_.output && options_.files.size() > 1) return context_.misused(say("district.one-output"));
    if (options_.output && file_exists(*options_.output))
      return Error(ErrorCode::invalid, say("command.file-exists", {{"file", *options_.output}}));
    TRY_LET(const auto witness, registry::WitnessKey::read(options_.witness));
    look_at_files();
    const auto done = take_in(witness);
    if (context_.json)
      context_.print(Value::object().set("files", std::move(files_)).set("not_derived", std::move(not_derived_)));
    TRY(done);
    return status_;
  }

 private:
  // Those that are parcels, what comes first first: files may be given in any order.
  void look_at_files() {
    for (const std::string& file : options_.files) {
      const auto arrived = parcel::Arrived::open(file);
      if (!arrived.ok()) {
        Told told{.file = file, .received = {}, .answer = {}, .unopened = arrived.error().sentence()};
        if (context_.json)
          files_.push(json_of(told));
        else
          context_.line(sentence_of(told));
        worse(arrived.error().code() == ErrorCode::unavailable ? Status::broken : Status::refused);
        continue;
      }
      const parcel::About& about = arrived.value().about();
      waiting_.push_back({.file = file, .ledger = about.ledger, .since = about.since, .size = about.head.size});
    }
    std::stable_sort(waiting_.begin(), waiting_.end(), [](const Waiting& a, const Waiting& b) {
      return std::tie(a.ledger, a.since, a.size) < std::tie(b.ledger, b.since, b.size);
    });
  }

  // What fails for one file is told as that file's; the others are taken in.
  Result<void> take_in(const registry::WitnessKey& witness) {
    TRY(connect());
    for (const Waiting& one : waiting_) {
      auto received = take(one, witness);
      if (received.ok()) {
        tell({.file = one.file, .received = std::move(received).value(), .answer = {}, .unopened = {}});
        continue;
      }
      if (context_.json) files_.push(json_of(failed(one, received.error())));
      if (is_gone(received.error())) connection_.reset();
      worse(context_.fail(std::move(received).error().during(one.file)));
    }
    if (!options_.later) derive();
    return {};
  }

  Result<void> connect() {
    if (connection_) return {};
    TRY_LET(auto connection, opened_register(options_.at));
    connection_.emplace(std::move(connection));
    return {};
  }

  Result<Received> take(const Waiting& one, const registry::WitnessKey& witness) {
    TRY(connect());
    TRY_LET(const auto arrived, parcel::Arrived::open(one.file));
    return registry::receive(*connection_, arrived, witness, context_.clock.now());
  }

  // What came of it first: that stands, whether its answer can be written or not.
  void tell(Told told) {
    const Received& one = told.received;
    if (!context_.json) context_.line(sentence_of(told));
    if (one.outcome == Outcome::refused || one.outcome == Outcome::needs_before) {
      worse(Status::refused);
    } else {
      accepted_.insert(one.ledger);
      if (!registry::is_good(one.outcome) || one.apart) worse(Status::does_not_hold);
    }
    if (!one.vkey.empty() && !context_.json) context_.line(say("district.new-here", {{"vkey", one.vkey}}));
    if (one.answer) write_answer(told);
    if (context_.json) files_.push(json_of(told));
  }

  void write_answer(Told& told) {
    const std::string file = options_.output.value_or(told.file + ".cosigned");
    const auto written = replace_file(file, as_bytes(*told.received.answer), FileMode::shared);
    if (!written.ok()) {
      const Error& error = written.error();
      worse(context_.fail({error.code(), say("district.answer-failed", {{"why", error.sentence()}})}));
      return;
    }
    told.answer = file;
    if (!context_.json) context_.line(say("district.answer", {{"answer", file}}));
  }

  void worse(Status status) { status_ = std::max(status_, status); }

  // Of every ledger of which something is held: what failed or was put off before is caught up with.
  void derive() {
    Progress progress(context_, say("district.deriving"), 2);
    std::int64_t done = 0;
    for (const std::string& ledger : accepted_) {
      const auto connected = connect();
      const auto rows = connected.ok() ? registry::derive(*connection_, ledger, context_.clock)
                                       : Result<std::int64_t>(connected.error());
      progress.show(++done, static_cast<std::int64_t>(accepted_.size()));
      if (rows.ok()) continue;
      if (is_gone(rows.error())) connection_.reset();
      progress.clear();
      not_derived_.push(Value::object().set("ledger", ledger).set("what", rows.error().sentence()));
      worse(context_.fail(not_derived(ledger, rows.error())));
    }
  }

  const Context& context_;
  const ReceiveOptions& options_;
  std::optional<registry::Connection> connection_;
  std::vector<Waiting> waiting_;
  std::set<std::string> accepted_;  // ledgers
  Value files_ = Value::list();
  Value not_derived_ = Value::list();
  Status status_ = Status::done;
};

}  // namespace

Status receive_parcels(const Context& context, const ReceiveOptions& options) {
  const auto done = Receiver(context, options).run();
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
