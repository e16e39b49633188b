#include "tests/bench/floor.h"

#include <utility>

#include "ledger/base/time.h"

namespace trayproof::bench {

class Hospital {
 public:
  explicit Hospital(std::int64_t ms_a_minute) : ms_a_minute_(ms_a_minute) {
    for (int i = 0; i < 4; ++i) {
      write("equipment-registered", R"("equipment":"ST-)" + std::to_string(i) + R"(","sort":"steam-sterilizer")");
    }
    write("supply-received", R"("lot":"BI-1","sort":"biological-indicator","read_hours":48,"expires":"2030-01-01")");
  }
  std::string lines(std::int64_t events, std::vector<std::string>* loads) {
    for (const std::int64_t until = portion_ + events; written_ < until;) one_load(loads);
    portion_ = written_;
    return std::exchange(out_, {});
  }

 private:
  std::uint64_t random() {  // xorshift64, fixed seed
    state_ ^= state_ << 13;
    state_ ^= state_ >> 7;
    state_ ^= state_ << 17;
    return state_;
  }
  void pass(std::int64_t minutes) { now_.ms += minutes * ms_a_minute_; }
  std::string at() const { return format_date_time({now_, 300}); }
  std::string number(const char* prefix, std::uint64_t value) const {
    char text[32];
    std::snprintf(text, sizeof text, "%s-%07llu", prefix, static_cast<unsigned long long>(value));
    return text;
  }
  void write(const std::string& kind, const std::string& fields) {
    out_ += "{\"kind\":\"" + kind + "\",\"at\":\"" + at() + "\",\"by\":\"" + (random() % 2 == 0 ? "ana" : "bo") +
            "\"," + fields + "}\n";
    ++written_;
  }

  void one_load(std::vector<std::string>* loads) {
    const std::uint64_t number_of_load = ++load_;
    const std::string load = number("L", number_of_load);
    const std::string equipment = "ST-" + std::to_string(number_of_load % 4);
    std::string packs;
    std::vector<std::string> ids;
    for (int i = 0; i < 6; ++i) {
      const std::string set = number("DS", random() % 400);
      const std::string pack = number("PK", ++pack_);
      write("soaked", R"("set":")" + set + R"(","solution":"CL-)" + std::to_string(number_of_load / 10) +
                          R"(","until":")" + format_date_time({{now_.ms + 11 * ms_a_minute_}, 300}) + "\"");
      pass(12);
      write("cleaned", R"("set":")" + set + R"(","method":"manual","rinsed":true)" +
                           (random() % 5 == 0 ? R"(,"note":"brush worn")" : ""));
      pass(3);
      write("packed", R"("pack":")" + pack + R"(","set":")" + set + R"(","wrap":"wrapped","indicator_lot":"CI-)" +
                          std::to_string(number_of_load / 100) + "\"");
      packs += (packs.empty() ? "\"" : ",\"") + pack + "\"";
      ids.push_back(pack);
    }
    write("load-started", R"("load":")" + load + R"(","method":"steam-gravity","equipment":")" + equipment +
                              R"(","cycle":)" + std::to_string(number_of_load / 4) + R"(,"packs":[)" + packs +
                              R"(],"temperature_c":121,"hold_min":30)");
    pass(45);
    write("load-ended",
          R"("load":")" + load +
              R"(","temperature_c":121.5,"pressure_kpa_gauge":106,"hold_min":30,"dry":true,"complete":true)");
    write("indicator-read", R"("load":")" + load + R"(","result":"pass","where":"challenge")");
    if (number_of_load % 32 < 4) {
      write("biological-read",
            R"("load":")" + load + R"(","lot":"BI-1","hours":48,"result":"negative","control":"growth")");
    }
    pass(30);
    write("load-released", R"("load":")" + load + R"(","basis":["readings","indicator"])");
    for (int i = 0; i < 5; ++i) {
      pass(4);
      write("procedure-done", R"("procedure":")" + number("D", ++procedure_) + R"(","patient":"MR)" +
                                  number("", random() % 60000).substr(1) +
                                  R"(","sort":"delivery","place":"labour room","packs":[")" +
                                  ids[static_cast<std::size_t>(i)] + "\"]");
    }
    if (loads != nullptr) loads->push_back(load);
  }

  std::string out_;
  std::int64_t ms_a_minute_;
  std::int64_t written_ = 0;
  std::int64_t portion_ = 0;  // where the last one ended
  std::uint64_t state_ = 88172645463325252ULL;
  std::uint64_t load_ = 0, pack_ = 0, procedure_ = 0;
  Instant now_ = instant_of({.date = {2020, 1, 1}}, 300);
};

HospitalLines::HospitalLines(std::int64_t minute_ms) : hospital_(std::make_unique<Hospital>(minute_ms)) {}
HospitalLines::~HospitalLines() = default;
std::string HospitalLines::next(std::int64_t events) { return hospital_->lines(events, nullptr); }

std::string facility_lines(std::int64_t events, std::vector<std::string>* loads) {
  return Hospital(minute_ms).lines(events, loads);
}

}  // namespace trayproof::bench
