#include "ledger/recall/answer.h"

namespace trayproof::recall {
namespace {

constexpr std::string_view standing_names[standings] = {"used",   "opened", "withdrawn", "reprocessed",
                                                        "issued", "shelf",  "held",      "handled"};

json::Value text_or_null(const std::optional<std::string>& text) { return text ? json::Value(*text) : json::Value(); }

class Writer {
 public:
  explicit Writer(const Answer& answer) : answer_(answer) {}

  json::Value time(std::int64_t ms) const { return format_date_time(answer_.zone.local({ms})); }
  json::Value time(const std::optional<std::int64_t>& ms) const { return ms ? time(*ms) : json::Value(); }

  json::Value bound(const std::optional<Bound>& one) const {
    if (!one) return {};
    return json::Value::object().set("load", text_or_null(one->load)).set("at", time(one->at.ms));
  }
  json::Value loads() const {
    json::Value list = json::Value::list();
    for (const AffectedLoad& one : answer_.loads) {
      list.push(json::Value::object()
                    .set("load", one.load)
                    .set("equipment", text_or_null(one.equipment))
                    .set("started", time(one.started_ms))
                    .set("ended", time(one.ended_ms))
                    .set("released", time(one.released_ms))
                    .set("evidence", one.evidence_missing ? "missing" : "recorded"));
    }
    return list;
  }
  json::Value packs() const {
    json::Value list = json::Value::list();
    for (const AffectedPack& one : answer_.packs) {
      json::Value pack = json::Value::object();
      pack.set("pack", one.pack).set("set", text_or_null(one.set)).set("load", text_or_null(one.load));
      pack.set("standing", name_of(one.standing)).set("place", text_or_null(one.place));
      if (!one.told_apart) pack.set("told_apart", false);
      list.push(std::move(pack));
    }
    return list;
  }
  json::Value procedures(const std::vector<AffectedProcedure>& procedures) const {
    json::Value list = json::Value::list();
    for (const AffectedProcedure& one : procedures) {
      json::Value newborns = json::Value::list();
      for (const std::string& newborn : one.newborns) newborns.push(newborn);
      json::Value uses = json::Value::list();
      for (const AffectedUse& use : one.uses) {
        uses.push(json::Value::object().set("pack", use.pack).set("load", text_or_null(use.load)));
      }
      list.push(json::Value::object()
                    .set("procedure", one.procedure)
                    .set("at", time(one.at_ms))
                    .set("sort", text_or_null(one.sort))
                    .set("place", text_or_null(one.place))
                    .set("patient", text_or_null(one.patient))
                    .set("newborns", std::move(newborns))
                    .set("uses", std::move(uses)));
    }
    return list;
  }
  json::Value counts() const {
    const Counts& counts = answer_.counts;
    json::Value out = json::Value::object();
    out.set("loads", counts.loads).set("packs", counts.packs);
    for (std::size_t place = 0; place < standings; ++place) out.set(standing_names[place], counts.by_standing[place]);
    out.set("procedures", counts.procedures)
        .set("patients", counts.patients)
        .set("patients_unknown", counts.patients_unknown);
    out.set("handled_procedures", counts.handled_procedures).set("evidence_missing", counts.evidence_missing);
    out.set("newborns_without_number", counts.newborns_without_number);
    return out;
  }
  json::Value policy() const {
    const auto of = [](const PolicyCounts& counts) {
      return json::Value::object()
          .set("packs", counts.packs)
          .set("procedures", counts.procedures)
          .set("patients", counts.patients);
    };
    json::Value out = json::Value::object();
    if (answer_.in_force == sop::RecallPolicy::at_once) {
      return out.set("in_force", "at-once")
          .set("at-once", of(answer_.at_once))
          .set("repeat-first", of(answer_.repeat_first));
    }
    return out.set("in_force", "repeat-first")
        .set("repeat-first", of(answer_.repeat_first))
        .set("at-once", of(answer_.at_once));
  }

 private:
  const Answer& answer_;
};

std::string joined(const std::string& so_far, const std::string& next) {
  return so_far.empty() ? next : so_far + " " + next;
}

}  // namespace

std::string_view name_of(Standing standing) { return standing_names[static_cast<std::size_t>(standing)]; }

bool is_to_be_fetched(Standing standing) {
  return standing == Standing::issued || standing == Standing::shelf || standing == Standing::held;
}

std::int64_t Answer::still_to_fetch() const {
  const auto of = [&](Standing standing) { return counts.by_standing[static_cast<std::size_t>(standing)]; };
  return of(Standing::issued) + of(Standing::shelf) + of(Standing::held);
}

json::Value to_json(const Answer& answer, Timing timing) {
  const Writer writer(answer);
  json::Value out = json::Value::object();
  out.set("because", name_of(answer.request.because)).set("subject", subject_of(answer.request, answer.zone));
  out.set("as_of", writer.time(answer.as_of.ms)).set("known_at", answer.known_at);
  out.set("window",
          json::Value::object().set("after", writer.bound(answer.after)).set("before", writer.bound(answer.before)));
  out.set("loads", writer.loads()).set("packs", writer.packs()).set("procedures", writer.procedures(answer.procedures));
  out.set("handled_procedures", writer.procedures(answer.handled_procedures));
  out.set("counts", writer.counts()).set("policy", writer.policy());
  if (answer.unknown_events > 0) out.set("unknown_events", answer.unknown_events);
  if (timing == Timing::shown) out.set("seconds", answer.seconds).set("reread_seconds", answer.reread_seconds);
  return out;
}

std::string canonical(const Answer& answer) { return json::canonical(to_json(answer, Timing::left_out)); }

std::vector<Call> call_list(const Answer& answer) {
  std::vector<Call> calls;
  for (const AffectedProcedure& one : answer.procedures) {
    Call call{one.procedure,
              format_date_time(answer.zone.local({one.at_ms})),
              one.place.value_or(""),
              one.patient.value_or(""),
              {},
              {}};
    for (const std::string& newborn : one.newborns) call.newborns = joined(call.newborns, newborn);
    std::string last;
    for (const AffectedUse& use : one.uses) {
      if (use.pack != last) call.packs = joined(call.packs, use.pack);
      last = use.pack;
    }
    calls.push_back(std::move(call));
  }
  return calls;
}

}  // namespace trayproof::recall
