#include "report/gaps/find.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>
#include <tuple>
#include <utility>

#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/gaps/late.h"

namespace trayproof::gaps {
namespace {

std::string spelt(const json::Value& value) {
  if (value.is_number()) return number_here(shortest(value.number()));
  if (value.is_text()) return written_here(spelled_each_here(value.text()));
  return say("gaps.no-value");
}

// A worked-out number with more digits than the record itself takes tells nothing more, and cannot be read back from
// the JSON of this program.
json::Value six_decimals(json::Value value) {
  if (!value.is_number()) return value;
  return std::round(value.number() * 1e6) / 1e6;
}

// Two decimals are enough for people, unless they would hide the difference.
std::string spelt_shorter(const json::Value& value, const json::Value& beside) {
  if (!value.is_number()) return spelt(value);
  const std::string text = rounded(value.number(), 2);
  const bool hides = beside.is_number() && value.number() != beside.number() && text == rounded(beside.number(), 2);
  return number_here(hides || (text == "0" && value.number() != 0) ? shortest(value.number()) : text);
}

class Answers {
 public:
  explicit Answers(const Facts& facts) : facts_(facts) {
    for (const Record& one : facts.of("finding-answered")) {
      const json::Value* subject = one.value("subject");
      const auto arose = one.time("arose");
      if (subject == nullptr || !arose) continue;
      by_finding_[{std::string(one.text("rule")), std::string(subject->text_at("kind").value_or("")),
                   std::string(subject->text_at("id").value_or("")), arose->at.ms}]
          .answers.push_back(&one);
    }
  }

  // The last answer; of a critical finding the last that was countersigned, else the last that names a second ("every
  // event stands at once, shown as awaiting its second"). Where none does, it is open, and the last is shown as awaiting.
  void apply(Finding& finding) {
    const auto found =
        by_finding_.find({std::string(finding.rule->id), finding.subject_kind, finding.subject_id, finding.at.ms});
    if (found == by_finding_.end()) return;
    found->second.answers_one = true;
    const bool needs_second = finding.severity == Severity::critical;
    const Record* last = nullptr;
    const Record* named = nullptr;
    const Record* seconded = nullptr;
    for (const Record* answer : found->second.answers) {
      last = answer;
      if (names_a_second(*answer)) named = answer;
      if (facts_.seconds.state(*answer) == people::Second::confirmed) seconded = answer;
    }
    const Record* standing = needs_second ? (seconded != nullptr ? seconded : named) : last;
    const Record& answer = standing != nullptr ? *standing : *last;
    for (const State one : {State::explained, State::accepted, State::action}) {
      if (standing != nullptr && word(one) == answer.text("state")) finding.state = one;
    }
    finding.answered_by = answer.seq;
    finding.second = facts_.seconds.state(answer);
    if (needs_second && finding.second != people::Second::confirmed) finding.second = people::Second::awaiting;
  }

  // Of those that arose in the period, under that rule or any.
  std::vector<AnswersNothing> that_answer_nothing(const Question& question) const {
    std::vector<AnswersNothing> out;
    for (const auto& [about, given] : by_finding_) {
      const auto& [rule, kind, id, arose_ms] = about;
      const Instant arose{arose_ms};
      const bool outside = (question.from && arose < *question.from) || (question.until && arose > *question.until);
      if (given.answers_one || outside || (question.rule && *question.rule != rule)) continue;
      for (const Record* answer : given.answers) out.push_back({answer->seq, rule, find_rule(rule) != nullptr});
    }
    std::ranges::sort(out, {}, &AnswersNothing::seq);
    return out;
  }

 private:
  // Somebody else than who answered; one of the persons here, unless nobody was ever enrolled and every name is a claim.
  bool names_a_second(const Record& answer) const {
    const std::string_view second = answer.text("second");
    if (second.empty() || second == answer.by) return false;
    return facts_.of("person-enrolled").empty() || facts_.is_person(second);
  }

  struct Given {
    std::vector<const Record*> answers;
    bool answers_one = false;
  };
  const Facts& facts_;
  std::map<std::tuple<std::string, std::string, std::string, std::int64_t>, Given> by_finding_;
};

Finding finding_of(const Rule& rule, Gap gap) {
  Finding finding;
  finding.rule = &rule;
  finding.severity = gap.severity.value_or(rule.severity);
  finding.subject_kind = gap.kind.empty() ? rule.subject : gap.kind;
  finding.subject_id = std::move(gap.id);
  finding.at = gap.at;
  const std::string key = "gaps." + std::string(rule.id);
  gap.found = six_decimals(std::move(gap.found));
  gap.limit = six_decimals(std::move(gap.limit));
  // What is marked as not done has no value to tell.
  const std::string found = gap.found.is_null() ? say("gaps.nothing") : spelt_shorter(gap.found, gap.limit);
  const std::string limit = spelt_shorter(gap.limit, gap.found);
  const std::string sentence = key + ".says" + (gap.says.empty() ? "" : "-" + std::string(gap.says));
  finding.says = say(sentence, {{"id", finding.subject_id}, {"found", found}, {"limit", limit}});
  finding.closes = say(key + ".closes");
  finding.found = std::move(gap.found);
  finding.limit = std::move(gap.limit);
  std::set<std::int64_t> seqs(gap.rests_on.begin(), gap.rests_on.end());
  finding.first_seen = seqs.empty() ? 0 : *seqs.rbegin();
  seqs.insert(gap.beside.begin(), gap.beside.end());
  finding.seqs.assign(seqs.begin(), seqs.end());
  return finding;
}

// The editions that were in force at some time of the period.
std::vector<std::int64_t> editions_of(const Facts& facts, const Question& question) {
  std::vector<std::int64_t> out;
  const auto& all = facts.editions.all();
  const Instant until = question.until.value_or(facts.now);
  for (const sop::Edition& one : all) {
    const bool begins_inside = one.judges_from <= until && (!question.from || one.judges_from >= *question.from);
    const bool at_begin = question.from && facts.editions.at(*question.from) == &one;
    const bool first = &one == &all.front() && !question.from;
    if (begins_inside || at_begin || first) out.push_back(one.seq);
  }
  return out;
}

// The first edition covers all time before it; what happened there is judged by limits that nobody had adopted yet.
std::optional<Instant> before_editions(const Facts& facts, const Question& question) {
  if (facts.what_if || facts.editions.empty()) return std::nullopt;
  Instant begin = facts.editions.all().front().judges_from;
  for (const sop::Edition& one : facts.editions.all()) begin = std::min(begin, one.judges_from);
  const auto before = [&](const Record& one) {
    return one.at.at < begin && (!question.from || one.at.at >= *question.from) &&
           (!question.until || one.at.at <= *question.until);
  };
  for (const auto& [kind, records] : facts.records) {
    if (!records.empty() && records.front().kind->recordable() && std::any_of(records.begin(), records.end(), before))
      return begin;
  }
  return std::nullopt;
}

std::string local(const Findings& findings, Instant at) { return format_date_time(findings.zone.local(at)); }

json::Value json_of(const Findings& findings, const Finding& one) {
  json::Value out = json::Value::object();
  out.set("rule", one.rule->id);
  out.set("severity", word(one.severity));
  out.set("subject", json::Value::object().set("kind", one.subject_kind).set("id", one.subject_id));
  out.set("at", local(findings, one.at));
  out.set("found", one.found);
  out.set("limit", one.limit);
  out.set("says", one.says);
  json::Value seqs = json::Value::list();
  for (const std::int64_t seq : one.seqs) seqs.push(seq);
  out.set("seqs", std::move(seqs));
  out.set("closes", one.closes);
  out.set("first_seen", one.first_seen);
  out.set("state", word(one.state));
  if (one.second != people::Second::none_needed) out.set("second", people::word(one.second));
  return out;
}

}  // namespace

std::string_view word(Severity severity) {
  switch (severity) {
    case Severity::critical:
      return "critical";
    case Severity::major:
      return "major";
    case Severity::minor:
      return "minor";
    case Severity::information:
      return "information";
  }
  CHECK(false);
}

std::string_view word(State state) {
  switch (state) {
    case State::open:
      return "open";
    case State::explained:
      return "explained";
    case State::accepted:
      return "accepted";
    case State::action:
      return "action";
  }
  CHECK(false);
}

void Looked::cannot_tell(Instant at, std::string_view id, std::string_view kind) {
  if (!inside(at)) return;
  ++subjects_;
  ++cannot_tell_;
  if (names_open_) opened_.push_back({kind, std::string(id), at});
}

void Looked::gap(Gap gap) {
  if (inside(gap.at)) {
    ++subjects_;
    ++found_;
  } else if (keep_ == Keep::gaps_of_the_period) {
    return;
  }
  gaps_.push_back(std::move(gap));
}

const Rule* find_rule(std::string_view id) {
  for (const Rule& rule : catalogue()) {
    if (rule.id == id) return &rule;
  }
  return nullptr;
}

std::int64_t Findings::open() const {
  return std::count_if(gaps.begin(), gaps.end(), [](const Finding& one) { return one.is_open(); });
}

bool Finding::is_open() const { return state == State::open; }

namespace {

void add_open(const Rule& rule, Looked& looked, std::vector<NotTold>& to) {
  std::ranges::sort(looked.opened(), {}, [](const Open& one) { return std::tie(one.at, one.kind, one.id); });
  for (Open& one : looked.opened())
    to.push_back({&rule, std::string(one.kind.empty() ? rule.subject : one.kind), std::move(one.id), one.at});
}

Findings look(const Facts& facts, const Question& question, Looked::Keep keep) {
  Findings out;
  out.from = question.from;
  out.until = question.until;
  out.zone = facts.zone;
  if (facts.what_if) out.what_if = facts.what_if->title;
  out.as_recorded = facts.as_recorded;
  out.editions = editions_of(facts, question);
  out.before_editions = before_editions(facts, question);
  out.back_records = facts.back_records;
  Answers answers(facts);
  if (question.name_open) out.not_told.emplace();
  for (const Rule& rule : catalogue()) {
    if (question.rule && *question.rule != rule.id) continue;
    Looked looked(question.from, question.until, keep);
    if (question.name_open) looked.name_open();
    rule.look(facts, looked);
    out.looked_at.push_back({&rule, looked.subjects(), looked.found(), looked.open(), looked.limit_not_stated()});
    if (out.not_told) add_open(rule, looked, *out.not_told);
    for (Gap& gap : looked.gaps()) {
      Finding finding = finding_of(rule, std::move(gap));
      answers.apply(finding);
      if (question.severity && finding.severity != *question.severity) continue;
      out.gaps.push_back(std::move(finding));
    }
  }
  if (!facts.what_if) out.answers_nothing = answers.that_answer_nothing(question);
  std::stable_sort(out.gaps.begin(), out.gaps.end(), [](const Finding& a, const Finding& b) {
    return std::tie(a.at, a.rule->id, a.subject_kind, a.subject_id, a.first_seen) <
           std::tie(b.at, b.rule->id, b.subject_kind, b.subject_id, b.first_seen);
  });
  return out;
}

}  // namespace

Findings find_gaps(const Facts& facts, const Question& question) {
  return look(facts, question, Looked::Keep::gaps_of_the_period);
}

FoundEver find_gaps_ever(const Facts& facts, const Question& question) {
  FoundEver out;
  out.in_period = look(facts, question, Looked::Keep::every_gap);
  out.ever = std::exchange(out.in_period.gaps, {});
  std::copy_if(out.ever.begin(), out.ever.end(), std::back_inserter(out.in_period.gaps), [&](const Finding& one) {
    return (!question.from || one.at >= *question.from) && (!question.until || one.at <= *question.until);
  });
  return out;
}

Result<Findings> find_gaps(store::Database& tables, sop::Editions editions, Instant now, const Question& question,
                           RecallAnswers recall_answers, RecallAgain recall_again, RecallWork recall_work,
                           CurveJudge curve_judge) {
  TRY_LET(const Facts facts, read_facts(tables, {.editions = std::move(editions),
                                                 .what_if = question.what_if,
                                                 .now = now,
                                                 .from = question.from,
                                                 .until = question.until,
                                                 .recall_answers = std::move(recall_answers),
                                                 .recall_again = std::move(recall_again),
                                                 .recall_work = std::move(recall_work),
                                                 .curve_judge = std::move(curve_judge)}));
  return find_gaps(facts, question);
}

std::string as_recorded_note(const AsRecorded& as_recorded) {
  if (as_recorded.curves == 0) return "";
  std::string editions;
  for (const std::int64_t seq : as_recorded.editions) editions += (editions.empty() ? "" : ", ") + std::to_string(seq);
  return say("gaps.as-recorded", {{"count", std::to_string(as_recorded.curves)}, {"editions", editions}});
}

json::Value to_json(const Findings& findings) {
  json::Value out = json::Value::object();
  out.set("from", findings.from ? json::Value(local(findings, *findings.from)) : json::Value());
  out.set("until", findings.until ? json::Value(local(findings, *findings.until)) : json::Value());
  json::Value editions = json::Value::list();
  if (findings.what_if) {
    editions.push(say("gaps.what-if", {{"title", *findings.what_if}}));
  } else {
    for (const std::int64_t seq : findings.editions) editions.push(seq);
  }
  out.set("sop", std::move(editions));
  if (findings.what_if) {
    const AsRecorded& curves = findings.as_recorded;
    out.set("curves", json::Value::object().set("judged_again", curves.judged_again).set("as_recorded", curves.curves));
    json::Value notes = json::Value::list();
    if (curves.curves > 0) notes.push(as_recorded_note(curves));
    out.set("notes", std::move(notes));
  }
  if (findings.before_editions) out.set("sop_covers_before", local(findings, *findings.before_editions));
  json::Value looked_at = json::Value::object();
  for (const Count& one : findings.looked_at) {
    looked_at.set(
        one.rule->id,
        json::Value::object().set("subjects", one.subjects).set("gaps", one.gaps).set("cannot_tell", one.cannot_tell));
  }
  out.set("looked_at", std::move(looked_at));
  json::Value gaps = json::Value::list();
  for (const Finding& one : findings.gaps) gaps.push(json_of(findings, one));
  out.set("gaps", std::move(gaps));
  if (!findings.not_told) return out;
  json::Value not_told = json::Value::list();
  for (const NotTold& one : *findings.not_told) {
    not_told.push(json::Value::object()
                      .set("rule", one.rule->id)
                      .set("subject", json::Value::object().set("kind", one.subject_kind).set("id", one.subject_id))
                      .set("at", local(findings, one.at)));
  }
  out.set("cannot_tell", std::move(not_told));
  return out;
}

}  // namespace trayproof::gaps
