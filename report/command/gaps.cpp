#include <algorithm>

#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/command/editions.h"
#include "report/command/period.h"
#include "report/command/verbs.h"
#include "report/review/asked_gaps.h"

namespace trayproof::command {
namespace {

std::string plural_seqs(const gaps::Seqs& seqs) {
  std::string out;
  for (const std::int64_t seq : seqs) out += (out.empty() ? "" : ", ") + std::to_string(seq);
  return out;
}

class Page {
 public:
  Page(const Context& context, const gaps::Findings& findings) : context_(context), findings_(findings) {}

  void head(const Facility& facility, const sop::Editions& editions, const std::optional<sop::Sop>& what_if) {
    const std::string from =
        findings_.from ? short_time(facility.zone, *findings_.from) : say("gaps.command.from-first");
    const std::string until =
        findings_.until ? short_time(facility.zone, *findings_.until) : say("gaps.command.until-now");
    context_.line(say("gaps.command.title", {{"facility", facility.title}, {"from", from}, {"until", until}}));
    if (what_if) {
      context_.line(say("gaps.command.what-if", {{"title", what_if->title}, {"edition", what_if->edition}}));
      const std::string note = gaps::as_recorded_note(findings_.as_recorded);
      if (!note.empty()) context_.line(note);
      return;
    }
    for (const sop::Edition& one : editions.all()) {
      const bool judged =
          std::find(findings_.editions.begin(), findings_.editions.end(), one.seq) != findings_.editions.end();
      if (!judged) continue;
      context_.line(say("gaps.command.edition",
                        {{"title", one.sop.title},
                         {"edition", one.sop.edition},
                         {"seq", count_text(one.seq)},
                         {"state", say(is_confirmed(one) ? "gaps.command.confirmed" : "gaps.command.unconfirmed")}}));
    }
    if (findings_.before_editions) {
      context_.line(
          say("gaps.command.before-editions", {{"seq", count_text(editions.all().front().seq)},
                                               {"from", short_time(facility.zone, *findings_.before_editions)}}));
    }
  }

  void findings() {
    for (const auto severity :
         {gaps::Severity::critical, gaps::Severity::major, gaps::Severity::minor, gaps::Severity::information}) {
      block(severity);
    }
    if (findings_.gaps.empty()) context_.line("\n" + say("gaps.command.none"));
  }

  void counts() {
    std::string without_occasion;
    std::string without_limit;
    std::int64_t cannot_tell = 0;
    context_.line("\n" + say("gaps.command.looked-at"));
    context_.line("  " + say("gaps.command.count-head"));
    for (const gaps::Count& one : findings_.looked_at) {
      const std::string id(one.rule->id);
      cannot_tell += one.cannot_tell;
      if (one.limit_not_stated) without_limit += (without_limit.empty() ? "" : ", ") + id;
      if (one.subjects == 0) {
        if (!one.limit_not_stated) without_occasion += (without_occasion.empty() ? "" : ", ") + id;
        continue;
      }
      context_.line("  " + right(one.subjects, 9) + right(one.gaps, 8) + right(one.cannot_tell, 13) + "  " + id);
    }
    if (!without_occasion.empty()) context_.line(say("gaps.command.without-occasion", {{"rules", without_occasion}}));
    if (!without_limit.empty()) context_.line(say("gaps.command.without-limit", {{"rules", without_limit}}));
    answers_nothing();
    if (findings_.back_records > 0)
      context_.line(say("gaps.command.back-records", {{"count", count_text(findings_.back_records)}}));
    context_.line("\n" + say("gaps.command.total", {{"gaps", std::to_string(findings_.gaps.size())},
                                                    {"open", count_text(findings_.open())},
                                                    {"cannot_tell", count_text(cannot_tell)}}));
    if (cannot_tell > 0 && !findings_.not_told) context_.line(say("gaps.command.cannot-tell-how"));
  }

  // By rule, what it could not judge.
  void not_told() {
    if (!findings_.not_told || findings_.not_told->empty()) return;
    context_.line("\n" + say("gaps.command.cannot-tell"));
    const gaps::Rule* rule = nullptr;
    for (const gaps::NotTold& one : *findings_.not_told) {
      if (one.rule != rule) {
        rule = one.rule;
        const std::string title = say("gaps." + std::string(rule->id) + ".title");
        context_.line("\n" + say("gaps.command.rule", {{"title", title}, {"rule", rule->id}}));
      }
      context_.line(
          say("gaps.command.cannot-tell-one",
              {{"at", short_time(findings_.zone, one.at)}, {"kind", one.subject_kind}, {"id", one.subject_id}}));
    }
  }

  std::vector<std::int64_t> confirmed;  // editions that were confirmed by an event

 private:
  // Answers that are taken and change nothing: a rule or an instant mistyped, or a gap that the record no longer shows.
  void answers_nothing() {
    std::string unknown;
    std::string stale;
    for (const gaps::AnswersNothing& one : findings_.answers_nothing) {
      std::string& into = one.rule_known ? stale : unknown;
      into += (into.empty() ? "" : ", ") + count_text(one.seq) + " (" + one.rule + ")";
    }
    if (!unknown.empty()) context_.line(say("gaps.command.answers-no-rule", {{"entries", unknown}}));
    if (!stale.empty()) context_.line(say("gaps.command.answers-no-gap", {{"entries", stale}}));
  }

  bool is_confirmed(const sop::Edition& edition) const {
    return edition.sop.confirmed || std::find(confirmed.begin(), confirmed.end(), edition.seq) != confirmed.end();
  }

  static std::string right(std::int64_t number, std::size_t width) {
    const std::string text = std::to_string(number);
    return std::string(width > text.size() ? width - text.size() : 0, ' ') + text;
  }

  // Findings of one severity, those of one rule together, in the order of the catalogue.
  void block(gaps::Severity severity) {
    std::vector<const gaps::Finding*> here;
    for (const gaps::Finding& one : findings_.gaps) {
      if (one.severity == severity) here.push_back(&one);
    }
    if (here.empty()) return;
    context_.line("\n" + say("gaps.command." + std::string(word(severity)), {{"count", std::to_string(here.size())}}));
    std::stable_sort(here.begin(), here.end(),
                     [](const gaps::Finding* a, const gaps::Finding* b) { return a->rule < b->rule; });
    const gaps::Rule* rule = nullptr;
    for (std::size_t i = 0; i < here.size(); ++i) {
      const gaps::Finding& one = *here[i];
      if (one.rule != rule) {
        const std::string title = "gaps." + std::string(one.rule->id) + ".title";
        context_.line("\n" + say("gaps.command.rule", {{"title", say(title)}, {"rule", one.rule->id}}));
      }
      rule = one.rule;
      finding(one);
      const bool last = i + 1 == here.size() || here[i + 1]->rule != rule;
      if (last) context_.line(say("gaps.command.closes", {{"closes", one.closes}}));
    }
  }

  void finding(const gaps::Finding& one) {
    context_.line(say("gaps.command.finding", {{"at", short_time(findings_.zone, one.at)}, {"says", one.says}}));
    const std::string seqs = plural_seqs(one.seqs);
    if (one.state == gaps::State::open && one.second != people::Second::awaiting) {
      context_.line(say("gaps.command.seqs", {{"seqs", seqs}}));
    } else {
      std::string state(spelled_here(word(one.state)));
      if (one.second == people::Second::awaiting) state += ", " + say("people.awaiting-second");
      context_.line(say("gaps.command.seqs-state",
                        {{"seqs", seqs}, {"state", state}, {"answer", count_text(one.answered_by.value_or(0))}}));
    }
  }

  const Context& context_;
  const gaps::Findings& findings_;
};

Result<Status> answer(const Context& context, const Ledger& ledger, const GapsOptions& options) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  review::AskedGaps asked =
      review::asked_gaps({options.from, options.to, options.rule, options.severity}, tables.zone());
  if (asked.misuse) return context.misused(*asked.misuse);
  asked.question.name_open = options.cannot_tell;
  if (options.sop) {
    TRY_LET(const auto text, sop_text(*options.sop));
    TRY_LET(asked.question.what_if, sop::read(text));
  }
  TRY_LET(const auto found, review::find_gaps(ledger, tables, context.clock.now(), asked.question));
  const auto& findings = found.findings;
  const Status status = options.strict && findings.open() > 0 ? Status::does_not_hold : Status::done;
  if (context.json) {
    context.print(review::to_json(found));
    return status;
  }
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto editions, ledger.editions(tables.known_at()));
  Page page(context, findings);
  TRY_LET(page.confirmed, confirmed_editions(tables.database()));
  page.head(facility, editions, asked.question.what_if);
  for (const auto& [seq, names] : found.unknown) context.line(unknown_line(seq, names));
  page.findings();
  page.not_told();
  page.counts();
  return status;
}

}  // namespace

Status gaps(const Context& context, const GapsOptions& options) {
  const auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = answer(context, ledger.value(), options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
