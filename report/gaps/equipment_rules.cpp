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

// All runs under one pass of a check are one thing looked at: they ran in its time, or some ran after it.
void look_at_lapses(const Facts& facts, Looked& looked, std::string_view check) {
  for (const auto& [id, equipment] : facts.equipment) {
    const auto runs = work_of(equipment);
    Records passes;
    for (const Record* one : equipment.checks) {
      if (one->text("check") == check && one->text("result") == "pass") passes.push_back(one);
    }
    std::map<const Record*, std::vector<const Work*>> under;
    std::map<const Record*, bool> unsure;
    for (const Work& run : runs) {
      const Record* pass = nullptr;
      bool maybe_another = false;
      for (const Record* one : passes) {
        const Told after_run = later(one->at, run.at);
        if (after_run == Told::no) pass = one;
        maybe_another = maybe_another || after_run == Told::open;
      }
      under[pass].push_back(&run);
      unsure[pass] = unsure[pass] || maybe_another;
    }
    for (const auto& [pass, ran] : under) {
      if (pass == nullptr) {
        // A basin or a boiler without a gauge is not calibrated; a sterilizer or a logger is.
        const bool expected = equipment.sort.ends_with("-sterilizer") || equipment.sort == "washer-disinfector" ||
                              equipment.sort == "data-logger";
        if (expected || !passes.empty()) looked.cannot_tell(ran.front()->at.at);
        continue;
      }
      const auto until = pass->time("until");
      if (!until) {
        if (pass->mark("until") == Mark::not_known) looked.cannot_tell(ran.front()->at.at);
        continue;
      }
      Told gap = Told::no;
      const Work* first = nullptr;
      const Work* last = nullptr;
      for (const Work* run : ran) {
        const Told here = later(run->at, *until);
        if (here != Told::no && first == nullptr) first = run;
        if (here == Told::yes) last = run;
        gap = gap || here;
      }
      if (gap == Told::yes && unsure[pass]) gap = Told::open;
      looked.say(gap, ran.back()->at.at, [&, &key = id, &last_pass = pass] {
        return Gap{.id = key,
                   .at = first->at.at,
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
// Limits: the record's own `until`, last day included. Source: APSIC guideline, seen in secondary pages.
void competence_missing(const Facts& facts, Looked& looked) {
  ById<Records> by_person;
  for (const Record& one : facts.of("competence-recorded")) by_person[std::string(one.text("person"))].push_back(&one);
  std::map<std::string_view, bool> persons;
  for (const Record& one : facts.of("person-enrolled")) persons[one.text("person")] = true;
  for (const Load* load : facts.loads_by_start) {
    if (load->started == nullptr) continue;
    const std::string& operator_id = load->started->by;
    Told competent = persons.contains(operator_id) ? Told::no : Told::open;
    const auto found = by_person.find(operator_id);
    if (found != by_person.end()) {
      for (const Record* one : found->second) {
        if (one->text("skill") != load->method) continue;
        const auto until = parse_date(one->text("until"));
        const Told in_date = until ? !later(load->start(), When::exactly(facts.end_of(*until))) : Told::open;
        competent = competent || (!later(one->at, load->start()) && in_date);
      }
    }
    looked.say(!competent, load->start().at, [&] {
      return Gap{.id = operator_id,
                 .at = load->start().at,
                 .found = load->id,
                 .limit = load->method,
                 .rests_on = {load->started->seq}};
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
    looked.say(acted, left.at.at, [&] {
      return Gap{.id = std::string(person),
                 .at = first->at.at,
                 .found = std::string(first->kind->name),
                 .rests_on = {left.seq, first->seq}};
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
