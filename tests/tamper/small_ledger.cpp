#include "tests/tamper/small_ledger.h"

#include <cstdio>
#include <cstdlib>

#include "ledger/crypto/hash.h"
#include "ledger/kept_curves.h"
#include "ledger/links/links.h"
#include "ledger/recall/opening.h"
#include "ledger/recall/recall.h"

namespace trayproof::tests {
namespace {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "small ledger: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

std::string line(std::string_view kind, std::string_view time, std::string_view body) {
  return R"({"kind":")" + std::string(kind) + R"(","by":"ana","at":"2026-10-05T)" + std::string(time) +
         R"(:00+05:00",)" + std::string(body) + "}\n";
}

constexpr std::string_view packing = R"("pack":"PK-1","set":"DS-1","wrap":"wrapped")";

void prepare(WardLedger& ward) {
  ward.take(
      line("person-enrolled", "06:00", R"("person":"ana","name":"Ana Invented","roles":["processor"])") +
      line("set-defined", "06:00",
           R"("set":"DS-1","title":"Set","items":[{"item":"Forceps","count":2}],"contact":"critical")") +
      line("equipment-registered", "06:00", R"("equipment":"AC-1","sort":"steam-sterilizer")") +
      line("supply-received", "06:00", R"("lot":"BI-1","sort":"biological-indicator","read_hours":1)") +
      line(
          "solution-prepared", "06:10",
          R"("solution":"S-1","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,"ready_to_use":true)"));
  ward.take(line("soaked", "06:20", R"("set":"DS-1","solution":"S-1","until":"2026-10-05T06:30:00+05:00")") +
            line("cleaned", "06:35", R"("set":"DS-1","method":"manual")"));
  ward.take(line("packed", "06:40", std::string(packing) + R"(,"slip":"s-1")") +
            line("packed", "06:41", R"("pack":"PK-2","set":"DS-2","wrap":"drum","slip":"s-2")"));
}

void run_load(WardLedger& ward) {
  ward.take(line("load-started", "06:50",
                 R"("load":"L-1","method":"steam-gravity","equipment":"AC-1","packs":["PK-1","PK-2"])") +
            line("load-ended", "07:30", R"("load":"L-1","complete":true,"temperature_c":121.5,"note":"quiet cycle")"));
  ward.take(line("indicator-read", "07:31", R"("load":"L-1","result":"pass")") +
            line("load-released", "07:40", R"("load":"L-1")"));
  ward.take(line("pack-stored", "07:45", R"("pack":"PK-2","place":"shelf")") +
            line("procedure-done", "08:10",
                 R"("procedure":"P-1","sort":"delivery","place":"room","packs":["PK-1"],"patient":"12-345-678",)"
                 R"("newborns":["12-345-679"],"note":"calm night")"));
}

void measure(WardLedger& ward, Curve curve) {
  constexpr std::size_t two_parts = 1'200'000;
  Bytes bytes(curve == Curve::two_parts ? two_parts : std::size_t{300});
  for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>("121.3;0.98\n"[i % 11]);
  must(ward.ledger().attach(bytes));
  const auto kept = keep_curve(ward.ledger(), crypto::sha256(bytes), 1, Bytes(40, 7), Bytes(9, 3));
  if (!kept.ok()) std::abort();
  AppendOptions program;
  program.giver = events::Giver::program;
  const std::string at = R"("by":"station-1","at":"2026-10-05T06:50:00+05:00",)";
  const std::int64_t seq = ward.size() + 1;
  ward.append(
      {event_of(R"({"kind":"curve-measured",)" + at + R"("equipment":"AC-1","file":")" + hex(crypto::sha256(bytes)) +
                R"(","part":1,"from":"2026-10-05T06:50:00+05:00","until":"2026-10-05T07:30:00+05:00",)"
                R"("interval_s":1,"reading":{"decimal":"."}})"),
       event_of(R"({"kind":"curve-placed",)" + at + R"("curve":)" + std::to_string(seq) + R"(,"load":"L-1"})")},
      program);
}

void correct_and_recall(WardLedger& ward, std::int64_t packed) {
  ward.take(line("biological-read", "09:00",
                 R"("load":"L-1","lot":"BI-1","hours":1,"result":"positive","control":"growth")"));
  ward.take(line("corrected", "09:10",
                 R"("of":)" + std::to_string(packed) +
                     R"(,"why":"wrong wrap","replacement":{"kind":"packed","by":"ana",)" +
                     R"("at":"2026-10-05T06:40:00+05:00","pack":"PK-1","set":"DS-1","wrap":"pouch"})"));
  auto tables = must(links::Links::open(ward.ledger()));
  recall::Request request;
  request.because = recall::Because::biological_positive;
  request.load = "L-1";
  const auto answer = must(recall::answer(request, tables, must(ward.ledger().editions())));
  must(recall::open_recall(ward.ledger(), answer, {.recall = "R-1", .by = std::nullopt}));
  ward.take(line("recall-answered", "09:30", R"("recall":"R-1","pack":"PK-2","outcome":"found-held")"));
}

}  // namespace

void fill_small(WardLedger& ward, Curve curve) {
  prepare(ward);
  const std::int64_t packed = ward.size() - 1;
  run_load(ward);
  measure(ward, curve);
  must(ward.ledger().sign_checkpoint());
  correct_and_recall(ward, packed);
  // Verified here: what comes after has signatures that no mark spares.
  if (!must(verify(ward.ledger(), Depth::usual)).problems.empty()) std::abort();
  ward.take(line("pack-withdrawn", "09:40", R"("pack":"PK-2","why_withdrawn":"recalled")") +
            line("solution-discarded", "09:50", R"("solution":"S-1")"));
}

}  // namespace trayproof::tests
