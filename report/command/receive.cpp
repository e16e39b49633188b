#include "report/register/receive.h"

#include <algorithm>
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
};

std::string sentence_of(const Told& told) {
  const Received& one = told.received;
  const std::string seq = one.parted ? count_text(*one.parted) : count_text(one.since + 1);
  const std::string file = told.file;
  const std::string facility = one.facility.empty() ? one.ledger : one.facility;
  switch (one.outcome) {
    case Outcome::taken:
      return say(one.answer ? "district.taken" : "district.taken-unsigned", {{"file", file},
                                                                             {"facility", facility},
                                                                             {"entries", count_text(one.entries)},
                                                                             {"size", count_text(one.size)}});
    case Outcome::repeated:
      return say("district.repeated", {{"file", file}, {"facility", facility}, {"size", count_text(one.size)}});
    case Outcome::older:
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
      .set("outcome", name_of(one.outcome))
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
    TRY_LET(auto connection, opened_register(options_.at));
    std::set<std::string> touched;
    for (const Waiting& one : waiting_) {
      TRY_LET(const auto arrived, parcel::Arrived::open(one.file));
      auto received = registry::receive(connection, arrived, witness, context_.clock.now());
      if (!received.ok()) return std::move(received).error().during(one.file);
      if (received.value().entries > 0) touched.insert(received.value().ledger);
      TRY(tell({.file = one.file, .received = std::move(received).value(), .answer = {}, .unopened = {}}));
    }
    if (!options_.later) TRY(derive(connection, touched));
    if (context_.json) context_.print(Value::object().set("files", std::move(files_)));
    return status_;
  }

 private:
  // Those that are parcels, what comes first first: files may be given in any order.
  void look_at_files() {
    for (const std::string& file : options_.files) {
      const auto arrived = parcel::Arrived::open(file);
      if (!arrived.ok()) {
        Told told{.file = file, .received = {}, .answer = {}, .unopened = arrived.error().sentence()};
        show(told);
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

  Result<void> tell(Told told) {
    const Received& one = told.received;
    if (one.answer) {
      told.answer = options_.output.value_or(told.file + ".cosigned");
      TRY(replace_file(*told.answer, as_bytes(*one.answer), FileMode::shared));
    }
    show(told);
    if (one.outcome == Outcome::refused || one.outcome == Outcome::needs_before)
      worse(Status::refused);
    else if (!registry::is_good(one.outcome))
      worse(Status::does_not_hold);
    return {};
  }

  void show(const Told& told) {
    if (context_.json) {
      files_.push(json_of(told));
      return;
    }
    context_.line(sentence_of(told));
    if (!told.received.vkey.empty()) context_.line(say("district.new-here", {{"vkey", told.received.vkey}}));
    if (told.answer) context_.line(say("district.answer", {{"answer", *told.answer}}));
  }

  void worse(Status status) { status_ = std::max(status_, status); }

  Result<void> derive(registry::Connection& connection, const std::set<std::string>& ledgers) {
    Progress progress(context_, say("district.deriving"), 2);
    std::int64_t done = 0;
    for (const std::string& ledger : ledgers) {
      auto rows = registry::derive(connection, ledger, context_.clock);
      if (!rows.ok()) return std::move(rows).error().during(say("district.deriving"));
      progress.show(++done, static_cast<std::int64_t>(ledgers.size()));
    }
    return {};
  }

  const Context& context_;
  const ReceiveOptions& options_;
  std::vector<Waiting> waiting_;
  Value files_ = Value::list();
  Status status_ = Status::done;
};

}  // namespace

Status receive_parcels(const Context& context, const ReceiveOptions& options) {
  const auto done = Receiver(context, options).run();
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
