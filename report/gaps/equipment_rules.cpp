// Rules about machines whose papers lapsed and people who were not entitled.
#include "report/gaps/families.h"
#include "report/gaps/late.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// What a machine did: a load, or for a logger a curve.
struct Work {
  When at;
  std::int64_t seq = 0;
};

std::vector<Work> work_of(const Equipment& equipment) {
  std::vector<Work> out;
  for (const Run* run : equipment.runs) out.push_back({run->start, run->start_seq});
  for (const auto& curve : equipment.measured) out.push_back({When::exactly(curve.from), curve.seq});
  std::stable_sort(out.begin(), out.end(), [](const Work& a, const Work& b) { return a.at.at < b.at.at; });
  return out;
}

bool is_unread(const Record& check) { return check.text("result").empty() && check.mark("result") == Mark::not_known; }

// The passes of one check, and those whose results are not known: each may have been one. Machines are tested every
// day and calibrated once a year, so that the few are picked out before the runs are gone through.
Records passes_of(const Equipment& equipment, std::string_view check) {
  Records out;
  for (const Record* one : equipment.checks) {
    if (one->text("check") == check && (one->text("result") == "pass" || is_unread(*one))) out.push_back(one);
  }
  return out;
}

// What speaks of a run: the last pass that surely lies before it, and what may be another one, since coarse times or a
// result that is not known leave it open.
struct Standing {
  const Record* pass = nullptr;
  Records others;
};
Standing standing_at(const Records& passes, const When& time) {
  Standing out;
  for (const Record* one : passes) {
    const Told after_it = later(one->at, time);
    if (after_it == Told::no && !is_unread(*one)) {
      out.pass = one;
      out.others.clear();
    } else if (after_it != Told::yes) {
      out.others.push_back(one);
    }
  }
  return out;
}

// Whether a run lies after the `until` of a pass.
Told is_past(const Record& pass, const When& time) {
  if (const auto until = pass.time("until")) return later(time, *until);
  return pass.mark("until") == Mark::not_known ? Told::open : Told::no;
}

// All runs under one pass of a check are one thing looked at: they ran in its time, or some ran after it.
void look_at_lapses(const Facts& facts, Looked& looked, std::string_view check) {
  for (const auto& [id, equipment] : facts.equipment) {
    const auto runs = work_of(equipment);
    const Records passes = passes_of(equipment, check);
    const bool any_pass = std::any_of(passes.begin(), passes.end(), [](const Record* one) { return !is_unread(*one); });
    struct Ran {
      const Work* work;
      Records others;
    };
    std::map<const Record*, std::vector<Ran>> under;
    for (const Work& run : runs) {
      Standing standing = standing_at(passes, run.at);
      under[standing.pass].push_back({&run, std::move(standing.others)});
    }
    for (const auto& [pass, ran] : under) {
      if (pass == nullptr) {
        // A basin or a boiler without a gauge is not calibrated; a sterilizer or a logger is.
        const bool expected = equipment.sort.ends_with("-sterilizer") || equipment.sort == "washer-disinfector" ||
                              equipment.sort == "data-logger";
        if (expected || any_pass) looked.cannot_tell(ran.front().work->at.at, id);
        continue;
      }
      const auto until = pass->time("until");
      if (!until) {
        if (pass->mark("until") == Mark::not_known) looked.cannot_tell(ran.front().work->at.at, id);
        continue;
      }
      Told gap = Told::no;
      const Work* first = nullptr;
      const Work* last = nullptr;
      for (const auto& [work, others] : ran) {
        Told here = is_past(*pass, work->at);
        for (const Record* one : others) {
          if (is_past(*one, work->at) != here) here = Told::open;
        }
        gap = gap || here;
        if (here != Told::yes) continue;
        if (first == nullptr) first = work;
        last = work;
      }
      looked.say(gap, ran.back().work->at.at, id, [&, &last_pass = pass] {
        return Gap{.at = first->at.at,
                   .found = local(facts, first->at.at),
                   .limit = local(facts, until->at),
                   .rests_on = {last_pass->seq, first->seq},
                   .beside = {last->seq}};
      });
    }
  }
}

// calibration-lapsed: loads ran (or a logger measured) after the `until` of the last passed calibration.
// Why: nobody vouches for what the gauge shows. Example: due in March, used until June.
// Limits: the certificate's own `until`. Source: common practice, no source.
void calibration_lapsed(const Facts& facts, Looked& looked) { look_at_lapses(facts, looked, "calibration"); }

// service-overdue: loads ran after the `until` of the last passed service.
// Why: seals and valves wear. Example: yearly service left out. Limits: the record's own `until`.
// Source: common practice, no source.
void service_overdue(const Facts& facts, Looked& looked) { look_at_lapses(facts, looked, "service"); }

// qualification-lapsed: loads ran after the `until` of the last passed qualification.
// Why: that the machine reaches every corner was last shown long ago. Example: requalification a year late.
// Limits: the record's own `until`. Source: ISO 17665, from memory.
void qualification_lapsed(const Facts& facts, Looked& looked) { look_at_lapses(facts, looked, "qualification"); }

// competence-missing: who started a load has no competence for its method that was in date.
// Why: the machine does what it is told. Example: new attendant alone at night.
// Limits: the record's own `until`, last day included. Whether somebody who was never enrolled is competent cannot be
// told, unless one is recorded that was not in date then. Source: APSIC guideline, seen in secondary pages.
void competence_missing(const Facts& facts, Looked& looked) {
  ById<Records> by_person;
  for (const Record& one : facts.of("competence-recorded")) by_person[std::string(one.text("person"))].push_back(&one);
  std::map<std::string_view, std::int64_t> enrolled;  // the lowest seq that says so
  for (const Record& one : facts.of("person-enrolled")) {
    const auto [place, added] = enrolled.emplace(one.text("person"), one.seq);
    if (!added) place->second = std::min(place->second, one.seq);
  }
  for (const Load* load : facts.loads_by_start) {
    if (load->started == nullptr) continue;
    const std::string_view operator_id = load->started->by;
    const auto known = enrolled.find(operator_id);
    Told competent = Told::no;
    Seqs recorded;
    const auto found = by_person.find(operator_id);
    if (found != by_person.end()) {
      for (const Record* one : found->second) {
        if (one->text("skill") != load->method) continue;
        const auto until = parse_date(one->text("until"));
        const Told in_date = until ? !later(load->start(), When::exactly(facts.end_of(*until))) : Told::open;
        competent = competent || (!later(one->at, load->start()) && in_date);
        recorded.push_back(one->seq);
      }
    }
    if (known == enrolled.end() && recorded.empty()) competent = Told::open;
    looked.say(!competent, load->start().at, operator_id, [&] {
      Gap out{.at = load->start().at, .found = load->id, .limit = load->method, .rests_on = {load->started->seq}};
      if (known == enrolled.end()) {
        out.rests_on.push_back(*std::min_element(recorded.begin(), recorded.end()));
      } else {
        // Either tells that it is somebody whose competence is kept.
        recorded.push_back(known->second);
        presuppose(out, *std::min_element(recorded.begin(), recorded.end()));
      }
      return out;
    });
  }
}

// acted-after-leaving: events are by a person after that person left.
// Why: somebody used another's name. Example: the departed nurse's initials go on in the book.
// Limits: none. Source: common practice, no source.
void acted_after_leaving(const Facts& facts, Looked& looked) {
  for (const Record& left : facts.of("person-left")) {
    const std::string_view person = left.text("person");
    const Record* back = nullptr;
    for (const Record& one : facts.of("person-enrolled")) {
      if (back == nullptr && one.text("person") == person && later(one.at, left.at) == Told::yes) back = &one;
    }
    Told acted = Told::no;
    const Record* first = nullptr;
    for (const auto& [kind, records] : facts.records) {
      for (const Record& one : records) {
        if (one.by != person || one.kind->group == events::Group::record_itself) continue;
        Told here = later(one.at, left.at);
        if (back != nullptr) here = here && later(back->at, one.at);
        if (here == Told::yes && (acted != Told::yes || one.at.at < first->at.at)) first = &one;
        acted = acted || here;
      }
    }
    looked.say(acted, left.at.at, person, [&] {
      return Gap{.at = first->at.at, .found = std::string(first->kind->name), .rests_on = {left.seq, first->seq}};
    });
  }
}

constexpr Rule rules[] = {
    {"calibration-lapsed", Severity::major, "equipment", calibration_lapsed},
    {"service-overdue", Severity::major, "equipment", service_overdue},
    {"qualification-lapsed", Severity::major, "equipment", qualification_lapsed},
    {"competence-missing", Severity::major, "person", competence_missing},
    {"acted-after-leaving", Severity::major, "person", acted_after_leaving},
};

}  // namespace

std::span<const Rule> equipment_rules() { return rules; }

}  // namespace trayproof::gaps
