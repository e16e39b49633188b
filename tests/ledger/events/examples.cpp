#include "tests/ledger/events/examples.h"

namespace trayproof::tests {
namespace {

#define HEX32 "0123456789abcdef0123456789abcdef"
#define HEX64 HEX32 HEX32
#define HEX128 HEX64 HEX64

constexpr Example table[] = {
    {"ledger-opened", R"("format":1,"ledger":")" HEX32 R"(","origin":"trayproof/)" HEX32 R"(","ledger_key":")" HEX64
                      R"(","program":"trayproof 0.1.0")"},
    {"key-added", R"("public":")" HEX64 R"(","owner":"station-1","sort":"station","proof":")" HEX128 R"(")"},
    {"key-retired", R"("public":")" HEX64 R"(","since":"2026-10-05T09:00:00+05:00","cause":"rotated")"},
    {"countersigned", R"("of":6)"},
    {"checkpoint-kept", R"("size":6,"root":")" HEX64 R"(","where":"register of the ward")"},
    {"backup-made", R"("size":6,"root":")" HEX64 R"(","where":"second disk")"},
    {"evidence-given", R"("subject":{"kind":"load","id":"L-1"},"size":6,"file":")" HEX64 R"(")"},
    {"ledger-restored", R"("size":6,"root":")" HEX64 R"(","second":"ben")"},
    {"clock-noted", R"("was":"2026-10-05T09:00:00+05:00","now":"2026-10-05T08:00:00+05:00")"},
    {"numbers-read", R"("subject":{"kind":"procedure","id":"P-1"},"reason":"asked by the ward")"},
    {"patient-erased", R"("pseudonym":")" HEX32 R"(","second":"ben")"},
    {"text-removed", R"("of":6,"field":"/note","second":"ben")"},
    {"attachment-removed", R"("file":")" HEX64 R"(","second":"ben")"},
    {"facility-described", R"("title":"Invented ward","zone":"Etc/GMT-5","altitude_m":120)"},
    {"sop-adopted",
     R"("title":"Edition 1","toml":"[sop]\ntitle = \"Edition 1\"\n","in_force":"2026-10-05T09:00:00+05:00")"},
    {"sop-confirmed", R"("sop":5)"},
    {"person-enrolled", R"("person":"ana","name":"Ana Invented","roles":["processor"])"},
    {"person-left", R"("person":"ana")"},
    {"competence-recorded", R"("person":"ana","skill":"packing","until":"2027-10-05")"},
    {"rostered", R"("person":"ana","from":"2026-10-05T08:00:00+05:00","until":"2026-10-05T16:00:00+05:00")"},
    {"equipment-registered", R"("equipment":"AC-1","sort":"steam-sterilizer")"},
    {"equipment-stopped", R"("equipment":"AC-1")"},
    {"equipment-resumed", R"("equipment":"AC-1")"},
    {"equipment-checked", R"("equipment":"AC-1","check":"service","result":"pass")"},
    {"set-defined",
     R"("set":"DS-1","title":"Delivery set","items":[{"item":"Forceps","count":2}],"contact":"critical")"},
    {"set-stopped", R"("set":"DS-1")"},
    {"set-resumed", R"("set":"DS-1")"},
    {"supply-received", R"("lot":"CI-1","sort":"chemical-indicator")"},
    {"counted", R"("what":"births","from":"2026-10-01T00:00:00+05:00","until":"2026-10-05T00:00:00+05:00","number":3)"},
    {"solution-prepared", R"("solution":"S-1","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5,)"
                          R"("stock_percent":5,"stock_ml":100,"water_ml":900)"},
    {"solution-tested", R"("solution":"S-1","percent":0.5)"},
    {"solution-discarded", R"("solution":"S-1")"},
    {"set-returned", R"("set":"DS-1")"},
    {"soaked", R"("set":"DS-1","solution":"S-1")"},
    {"soak-ended", R"("set":"DS-1","solution":"S-1")"},
    {"cleaned", R"("set":"DS-1","method":"manual")"},
    {"inspected", R"("set":"DS-1","found":[])"},
    {"packed", R"("pack":"PK-1","set":"DS-1","wrap":"wrapped")"},
    {"pack-received", R"("pack":"PK-9","from":"Invented supplier")"},
    {"load-started", R"("load":"L-1","method":"steam-gravity","equipment":"AC-1","packs":["PK-1"])"},
    {"load-changed", R"("load":"L-1","added":["PK-2"])"},
    {"load-ended", R"("load":"L-1","complete":true)"},
    {"curve-measured", R"("equipment":"AC-1","file":")" HEX64 R"(","part":1,"from":"2026-10-05T09:00:00+05:00",)"
                       R"("until":"2026-10-05T09:40:00+05:00","interval_s":1,"reading":{"charset":"utf-8"})"},
    {"curve-placed", R"("curve":6,"load":"L-1")"},
    {"curve-judged", R"("curve":6,"sop":5,"program":"trayproof 0.1.0","method":"steam-gravity","verdict":"reached")"},
    {"indicator-read", R"("pack":"PK-1","result":"pass")"},
    {"biological-placed", R"("biological":"B-1","load":"L-1")"},
    {"biological-read", R"("load":"L-1","result":"negative","control":"growth")"},
    {"load-released", R"("load":"L-1")"},
    {"load-rejected", R"("load":"L-1","why":"wet")"},
    {"pack-stored", R"("pack":"PK-1","place":"shelf 2")"},
    {"pack-issued", R"("pack":"PK-1","place":"labour room")"},
    {"pack-opened", R"("pack":"PK-1")"},
    {"pack-returned", R"("pack":"PK-1","state":"closed")"},
    {"pack-withdrawn", R"("pack":"PK-1","why_withdrawn":"torn")"},
    {"procedure-done", R"("procedure":"P-1","sort":"delivery","place":"labour room","packs":[])"},
    {"recall-opened",
     R"("recall":"R-1","because":"chosen","subject":{"load":"L-1"},"as_of":"2026-10-05T09:00:00+05:00",)"
     R"("known_at":6,"counts":{"packs":1},"answer":")" HEX64 R"(")"},
    {"recall-answered", R"("recall":"R-1","pack":"PK-1","outcome":"found-held")"},
    {"recall-closed", R"("recall":"R-1","conclusion":"one pack found","second":"ben")"},
    {"finding-answered",
     R"("rule":"soak-too-short","subject":{"kind":"set","id":"DS-1"},"arose":"2026-10-05T09:00:00+05:00",)"
     R"("state":"explained","text":"the clock stood")"},
    {"corrected", R"("of":6,"replacement":null,"why":"typed twice")"},
    {"remarked", R"("subject":{"kind":"set","id":"DS-1"},"text":"new hinge")"},
};

}  // namespace

std::span<const Example> examples() { return table; }

std::string whole(const Example& example) {
  return R"({"kind":")" + std::string(example.kind) + R"(","at":"2026-10-05T09:00:00+05:00","by":"ana",)" +
         std::string(example.body) + "}";
}

}  // namespace trayproof::tests
