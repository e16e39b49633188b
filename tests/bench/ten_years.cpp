#include "tests/bench/ten_years.h"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <deque>
#include <optional>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/ledger.h"
#include "ledger/sop/default.h"
#include "tests/bench/floor.h"

namespace trayproof::bench {
namespace {

constexpr std::int32_t offset_min = 300;
constexpr int births_a_day = 33;
constexpr int operations_a_day = 22;
constexpr int batch = 15;  // packs of a load

class DayClock final : public Clock {
 public:
  Instant now() override { return now_; }
  double seconds() override { return static_cast<double>(now_.ms) / 1000; }
  void set(Instant now) { now_ = now; }

 private:
  Instant now_{decade_begins()};
};

struct Shelved {
  std::string pack;
  std::string set;
};

// One event of the day: when it happened, and its fields behind kind, time and person.
struct Line {
  Instant at;
  std::string text;
};

class DistrictHospital {
 public:
  explicit DistrictHospital(std::uint64_t seed) : state_(88172645463325252ULL + seed * 7919) {
    for (std::uint64_t i = 0; i < 700; ++i) dirty_.push_back(number(i % 2 == 0 ? "DEL" : "OP", i));
  }

  // What the hospital owns, who works there, and the sets.
  std::string first_day() {
    const Instant at = decade_begins();
    for (const char* id : {"ST-1", "ST-2", "ST-3"}) {
      put(at, "equipment-registered", text("equipment", id) + R"(,"sort":"steam-sterilizer")");
    }
    put(at, "equipment-registered", R"("equipment":"LOG-1","sort":"data-logger")");
    put(at, "equipment-registered", R"("equipment":"BASIN-1","sort":"soak-basin")");
    for (std::uint64_t i = 0; i < 14; ++i) {
      put(at, "person-enrolled",
          text("person", person(i)) + text(",name", "Invented " + std::to_string(i)) + R"(,"roles":["processor"])");
    }
    for (const std::string& set : dirty_) {
      put(at, "set-defined",
          text("set", set) + R"(,"title":"Instruments","items":[{"item":"scissors","count":2}],)" +
              R"("contact":"critical","methods":["steam-prevacuum","steam-gravity"])");
    }
    put(at, "set-defined",
        R"("set":"SCOPE-1","title":"Endoscope","items":[{"item":"scope","count":1}],)"
        R"("contact":"semi-critical","methods":["chemical-disinfection"])");
    return taken();
  }

  // The lines of one day; the first of them will have `first_seq`.
  std::string day(int number_of_day, std::int64_t first_seq) {
    day_ = number_of_day;
    midnight_ = {decade_begins().ms + number_of_day * day_ms};
    open_the_day();
    const int packs = births_a_day * 2 + operations_a_day * 3;
    for (int done = 0, minute = 300; done < packs; done += batch, minute += 85) run_load(minute);
    chemical_load();
    for (int i = 0; i < births_a_day + operations_a_day; ++i) procedure(i);
    corrections();
    std::stable_sort(lines_.begin(), lines_.end(), [](const Line& a, const Line& b) { return a.at < b.at; });
    remember_for_corrections(first_seq);
    import_curves(first_seq);
    return taken();
  }

 private:
  std::uint64_t random() {  // xorshift64
    state_ ^= state_ << 13;
    state_ ^= state_ >> 7;
    state_ ^= state_ << 17;
    return state_;
  }
  bool one_in(std::uint64_t many) { return random() % many == 0; }
  static std::string number(const char* prefix, std::uint64_t value) {
    char out[32];
    std::snprintf(out, sizeof out, "%s-%06llu", prefix, static_cast<unsigned long long>(value));
    return out;
  }
  static std::string person(std::uint64_t i) { return "N" + std::to_string(i); }
  // `,name` puts a comma in front.
  static std::string text(std::string_view name, std::string_view value) {
    const bool comma = name.front() == ',';
    return std::string(comma ? "," : "") + "\"" + std::string(name.substr(comma ? 1 : 0)) + "\":\"" +
           std::string(value) + "\"";
  }
  static std::string spelt(Instant at) { return format_date_time({at, offset_min}); }
  Instant at(int minute) const { return {midnight_.ms + minute * minute_ms}; }

  void put(Instant when, std::string_view kind, const std::string& fields) {
    // Written down soon after, now and then a day or more late.
    const std::int64_t later = one_in(700) ? static_cast<std::int64_t>(random() % 30) * hour_ms : 0;
    const Instant entered{when.ms + static_cast<std::int64_t>(random() % 20 + 1) * minute_ms + later};
    std::string line = "{" + text("kind", kind) + text(",at", spelt(when)) + text(",entered", spelt(entered)) +
                       text(",by", person(random() % 14)) + "," + fields + "}\n";
    lines_.push_back({when, std::move(line)});
  }
  std::string taken() {
    std::string out;
    for (const Line& line : lines_) out += line.text;
    lines_.clear();
    return out;
  }

  std::string lot(const char* prefix) const { return number(prefix, static_cast<std::uint64_t>(day_ / 60)); }

  void open_the_day() {
    if (day_ % 60 == 0) {
      const std::string until = format_date(date_of_days(days_since_epoch({2015, 1, 1}) + day_ + 400));
      put(at(5), "supply-received",
          text("lot", lot("CI")) + R"(,"sort":"chemical-indicator")" + text(",expires", until));
      put(at(5), "supply-received",
          text("lot", lot("BI")) + R"(,"sort":"biological-indicator","read_hours":24)" + text(",expires", until));
    }
    for (const char* machine : {"ST-1", "ST-2"}) {
      if (!one_in(150)) {
        put(at(250), "equipment-checked",
            text("equipment", machine) + R"(,"check":"air-removal","result":")" + (one_in(300) ? "fail" : "pass") +
                "\"");
      }
    }
    if (day_ % 365 == 0) {
      for (const char* machine : {"ST-1", "ST-2", "ST-3", "LOG-1"}) {
        put(at(10), "equipment-checked",
            text("equipment", machine) + R"(,"check":"calibration","result":"pass","as_found_k":0.2)" +
                text(",until", spelt({midnight_.ms + 366 * day_ms})));
      }
      for (std::uint64_t i = 0; i < 14; ++i) {
        for (const char* skill : {"steam-prevacuum", "steam-gravity", "chemical-disinfection", "packing", "cleaning"}) {
          put(at(11), "competence-recorded",
              text("person", person(i)) + text(",skill", skill) +
                  text(",until", format_date(date_of_days(days_since_epoch({2015, 1, 1}) + day_ + 380))));
        }
      }
    }
    night_solution_ = solution_;
    solution_ = number("CL", static_cast<std::uint64_t>(day_));
    put(at(240), "solution-prepared",
        text("solution", solution_) +
            R"(,"agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,"stock_percent":5,"stock_ml":1000,"water_ml":9000)");
    if (!one_in(40)) put(at(245), "solution-tested", text("solution", solution_) + R"(,"percent":0.5,"strip":"pass")");
    put(at(1440 + 235), "solution-discarded", text("solution", solution_));
    if (day_ % 14 == 0) {
      bath_ = number("GA", static_cast<std::uint64_t>(day_));
      put(at(241), "solution-prepared",
          text("solution", bath_) +
              R"(,"agent":"glutaraldehyde","use":"high-level-disinfection","percent":2,"ready_to_use":true)");
    }
    put(at(246), "solution-tested", text("solution", bath_) + R"(,"percent":1.9)");
  }

  // Right after it came back.
  void soak_and_clean(const std::string& set, int minute) {
    const std::string& solution = minute < 240 && !night_solution_.empty() ? night_solution_ : solution_;
    put(at(minute), "soaked",
        text("set", set) + text(",solution", solution) + text(",until", spelt(at(minute + (one_in(400) ? 8 : 14)))));
    if (!one_in(900)) put(at(minute + 20), "cleaned", text("set", set) + R"(,"method":"manual","rinsed":true)");
  }

  void pack_again(const std::string& set, const std::string& pack, int minute) {
    if (!one_in(600)) put(at(minute + 25), "inspected", text("set", set) + R"(,"found":[])");
    put(at(minute + 30), "packed",
        text("pack", pack) + text(",set", set) + R"(,"wrap":"wrapped")" + text(",indicator_lot", lot("CI")));
  }

  void run_load(int minute) {
    const std::uint64_t number_of_load = ++load_;
    const std::string load = number("L", number_of_load);
    const std::string machine = "ST-" + std::to_string(number_of_load % 3 + 1);
    const bool vacuum = machine != "ST-3";
    std::vector<Shelved> held;
    std::string packs;
    for (int i = 0; i < batch && !dirty_.empty(); ++i) {
      const std::string set = dirty_.front();
      dirty_.pop_front();
      const std::string pack = number("PK", ++pack_);
      pack_again(set, pack, minute - i % 5);
      packs += (packs.empty() ? "\"" : ",\"") + pack + "\"";
      held.push_back({pack, set});
    }
    if (held.empty()) return;
    put(at(minute + 40), "load-started",
        text("load", load) + text(",method", vacuum ? "steam-prevacuum" : "steam-gravity") +
            text(",equipment", machine) + R"(,"cycle":)" + std::to_string(number_of_load / 3 + (one_in(2000) ? 1 : 0)) +
            R"(,"packs":[)" + packs + R"(],"temperature_c":121,"hold_min":30)");
    const bool cut = one_in(1500);
    put(at(minute + 84), "load-ended",
        text("load", load) + R"(,"temperature_c":121.)" + std::to_string(random() % 10) +
            R"(,"pressure_kpa_gauge":11)" + std::to_string(random() % 9) + R"(,"hold_min":)" + (cut ? "12" : "31") +
            (one_in(700) ? R"(,"dry":false)" : R"(,"dry":true)") +
            (cut ? R"(,"complete":false)" : R"(,"complete":true)"));
    put(at(minute + 86), "indicator-read",
        text("load", load) + R"(,"result":"pass","where":"challenge")" + text(",lot", lot("CI")));
    if (cut) {
      put(at(minute + 90), "load-rejected", text("load", load) + R"(,"why":"power cut")");
    } else if (!one_in(1200)) {
      put(at(minute + 116), "load-released", text("load", load) + R"(,"basis":["readings","indicator"])");
    }
    if (vacuum || one_in(2)) curves_.push_back({load, machine, minute, cut});
    biological(load, number_of_load, minute);
    for (const Shelved& one : held) {
      put(at(minute + 120), "pack-stored", text("pack", one.pack) + R"(,"place":"shelf 2")");
      if (one_in(2000)) {
        forgotten_.push_back(one);
      } else {
        shelf_.push_back(one);
      }
    }
    if (forgotten_.size() > 30) {
      put(at(1300), "pack-withdrawn", text("pack", forgotten_.front().pack) + R"(,"why_withdrawn":"expired")");
      dirty_.push_back(forgotten_.front().set);
      forgotten_.pop_front();
    }
  }

  // Weekly, in the first loads of a Monday; read the day after.
  void biological(const std::string& load, std::uint64_t number_of_load, int minute) {
    if (day_ % 7 != 0 || minute > 300 + 2 * 85) return;
    const std::string strip = number("B", number_of_load);
    put(at(minute + 40), "biological-placed",
        text("biological", strip) + text(",load", load) + text(",lot", lot("BI")) + R"(,"where":"middle")");
    unread_.push_back({load, strip});
  }

  void chemical_load() {
    for (const auto& [load, strip] : unread_) {
      if (day_ % 7 != 1) break;
      put(at(800), "biological-read",
          text("load", load) + text(",biological", strip) + text(",lot", lot("BI")) + R"(,"hours":26,"result":")" +
              (one_in(400) ? "positive" : "negative") + R"(","control":"growth")");
    }
    if (day_ % 7 == 1) unread_.clear();
    const std::string load = number("G", static_cast<std::uint64_t>(day_));
    put(at(580), "cleaned", R"("set":"SCOPE-1","method":"manual","rinsed":true)");
    put(at(590), "packed", text("pack", "ES-" + std::to_string(day_)) + R"(,"set":"SCOPE-1","wrap":"unwrapped")");
    put(at(600), "load-started",
        text("load", load) + R"(,"method":"chemical-disinfection","equipment":"BASIN-1")" + text(",solution", bath_) +
            R"(,"packs":["ES-)" + std::to_string(day_) + R"("],"temperature_c":22)");
    put(at(625), "load-ended", text("load", load) + R"(,"temperature_c":22,"complete":true)");
  }

  void procedure(int i) {
    const bool birth = i < births_a_day;
    const int wanted = birth ? 2 : 3;
    const std::string id = number("PR", ++procedure_);
    const int minute = birth ? 10 + i * 43 : 480 + (i - births_a_day) * 24;
    std::string packs;
    for (int k = 0; k < wanted && shelf_.size() > 150; ++k) {
      const Shelved one = shelf_.front();
      shelf_.pop_front();
      packs += (packs.empty() ? "\"" : ",\"") + one.pack + "\"";
      if (!one_in(500)) {
        put(at(minute), "indicator-read",
            text("pack", one.pack) + R"(,"where":"inside","result":")" + (one_in(900) ? "fail" : "pass") + "\"" +
                text(",lot", lot("CI")));
      }
      put(at(minute + 30), "set-returned", text("set", one.set) + text(",procedure", id) + R"(,"missing":[])");
      soak_and_clean(one.set, minute + 35);
      dirty_.push_back(one.set);
    }
    put(at(minute), "procedure-done",
        text("procedure", id) + (one_in(600) ? "" : text(",patient", number("MR", random() % 150000))) +
            text(",sort", birth ? "delivery" : "operation") + text(",place", birth ? "labour room" : "theatre 1") +
            R"(,"packs":[)" + packs + R"(],"until":")" + spelt(at(minute + 25)) + "\"");
  }

  void corrections() {
    for (const auto& [of, event] : to_correct_) {
      std::string replacement = event;
      replacement.replace(replacement.find("\"entered\""), replacement.find("\"by\"") - replacement.find("\"entered\""),
                          "");
      replacement.replace(replacement.find("true"), 4, "false");
      replacement.pop_back();  // the end of the line
      put(at(700), "corrected",
          R"("of":)" + std::to_string(of) + R"(,"why":"slip of the pen","replacement":)" + replacement);
    }
    to_correct_.clear();
  }

  void remember_for_corrections(std::int64_t first_seq) {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const bool fits = lines_[i].text.starts_with(R"({"kind":"cleaned")") && one_in(40);
      if (fits) to_correct_.emplace_back(first_seq + static_cast<std::int64_t>(i), lines_[i].text);
    }
  }

  // The export of the data-logger, read at the end of the day: each curve is placed and judged at once.
  void import_curves(std::int64_t first_seq) {
    for (const CurveOf& one : curves_) {
      const std::string seq = std::to_string(first_seq + static_cast<std::int64_t>(lines_.size()));
      const auto unit = [&](double least) {
        return std::to_string(least + static_cast<double>(random() % 100'000) / 1e5);
      };
      put(at(one.minute + 40), "curve-measured",
          text("equipment", one.machine) + R"(,"logger":"LOG-1","file":")" + std::string(64, 'a') + R"(","part":)" +
              std::to_string(++part_) + text(",from", spelt(at(one.minute + 40))) +
              text(",until", spelt(at(one.minute + 84))) + R"(,"interval_s":10,"reading":{})");
      put(at(one.minute + 84), "curve-placed", R"("curve":)" + seq + text(",load", one.load));
      put(at(one.minute + 84), "curve-judged",
          R"("curve":)" + seq + R"(,"sop":5,"program":"bench","method":"steam-prevacuum","verdict":")" +
              (one.cut ? "not-reached" : "reached") + R"(","hold":{"minutes":)" + unit(one.cut ? 11 : 30.2) +
              R"(},"temperature_c":{"max":122.4,"mean":)" + unit(121.1) + R"(,"min":121.05},"f0":)" + unit(33) +
              R"(,"f0_low":)" + unit(30) + R"(,"saturation_difference_k":{"max":0.6,"min":-0.4},"findings":[])");
    }
    curves_.clear();
  }

  struct CurveOf {
    std::string load;
    std::string machine;
    int minute = 0;
    bool cut = false;
  };

  std::uint64_t state_;
  int day_ = 0;
  Instant midnight_;
  std::vector<Line> lines_;
  std::deque<std::string> dirty_;
  std::deque<Shelved> shelf_;
  std::deque<Shelved> forgotten_;
  std::vector<CurveOf> curves_;
  std::vector<std::pair<std::string, std::string>> unread_;  // load and strip
  std::vector<std::pair<std::int64_t, std::string>> to_correct_;
  std::string solution_, night_solution_, bath_;
  std::uint64_t load_ = 0, pack_ = 0, procedure_ = 0, part_ = 0;
};

Result<void> append(Ledger& ledger, const std::string& lines) {
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  TRY_LET(const auto done, ledger.append_lines(lines, options));
  if (done.refusals.empty()) return {};
  const auto& first = done.refusals.front();
  return Error(ErrorCode::invalid, "line " + std::to_string(first.line) + ": " + first.field + ": " + first.why);
}

}  // namespace

Instant decade_begins() { return instant_of({.date = {2015, 1, 1}}, offset_min); }

Result<void> record_decade(const std::string& path, const Decade& decade) {
  if (::access((path + ".whole").c_str(), F_OK) == 0) return {};
  for (const char* ending : {"", ".keys", ".links", ".links-journal", "-journal"}) ::unlink((path + ending).c_str());
  DayClock clock;
  TRY_LET(auto ledger, Ledger::create(path,
                                      {.title = "Invented district hospital",
                                       .zone = "Etc/GMT-5",
                                       .altitude_m = 1180,
                                       .sop_toml = std::string(sop::default_sop())},
                                      clock));
  DistrictHospital hospital(decade.seed);
  const double began = now_s();
  const int days = decade.years * 365 + decade.years / 4;
  clock.set({decade_begins().ms + hour_ms});
  TRY(append(ledger, hospital.first_day()));
  for (int day = 0; day < days; ++day) {
    clock.set({decade_begins().ms + (day + 2) * day_ms});
    TRY_LET(const auto head, ledger.head());
    TRY(append(ledger, hospital.day(day, head.seq + 1)));
    if (day % 365 == 364)
      std::fprintf(stderr, "  %d years, %lld events, %.0f s\n", day / 365 + 1, static_cast<long long>(head.seq),
                   now_s() - began);
  }
  std::FILE* whole = std::fopen((path + ".whole").c_str(), "w");
  if (whole == nullptr) return Error(ErrorCode::unavailable, path + ".whole cannot be written");
  std::fclose(whole);
  return {};
}

}  // namespace trayproof::bench
