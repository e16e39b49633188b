#include <cstdio>

#include "ledger/base/files.h"
#include "ledger/links/links.h"
#include "tests/fuzz/target.h"
#include "tests/support/ward_ledger.h"

namespace trayproof::fuzz {
namespace {

// A ledger with a few events in it and its derived tables, put back for each input.
class Pristine {
 public:
  Pristine() {
    ward_.take(
        R"({"kind":"set-defined","by":"ana","at":"2026-10-05T06:00:00+05:00","set":"DS-1","title":"Set",)"
        R"("items":[{"item":"Forceps","count":2}],"contact":"critical"})"
        "\n"
        R"({"kind":"packed","by":"ana","at":"2026-10-05T06:40:00+05:00","pack":"PK-1","set":"DS-1","wrap":"wrapped"})"
        "\n"
        R"({"kind":"procedure-done","by":"ana","at":"2026-10-05T08:00:00+05:00","procedure":"P-1","sort":"delivery",)"
        R"("place":"room","packs":["PK-1"],"patient":"12-345-678"})");
    must_hold(links::Links::open(ward_.ledger()).ok(), "tables are derived");
    ledger_ = tests::file_bytes(ward_.path());
    keys_ = tests::file_bytes(ward_.path() + ".keys");
    tables_ = tests::file_bytes(ward_.path() + ".links");
  }
  tests::SetClock& clock() { return ward_.clock(); }
  std::string put_back() {
    const std::string path = ward_.folder().file("copy.trayproof");
    put(path, ledger_);
    put(path + ".keys", keys_);
    put(path + ".links", tables_);
    return path;
  }

 private:
  static void put(const std::string& path, const std::string& bytes) {
    std::remove(path.c_str());
    must_hold(write_new_file(path, as_bytes(bytes), FileMode::owner_only).ok(), "a copy is written");
  }
  tests::WardLedger ward_;
  std::string ledger_, keys_, tables_;
};

}  // namespace

// Whatever lines are given: what is taken verifies, taken again it is known, and tables that grow with the ledger are
// those derived afresh.
void record_file(std::string_view bytes) {
  static Pristine pristine;
  const std::string path = pristine.put_back();
  auto opened = Ledger::open(path, pristine.clock());
  must_hold(opened.ok(), "the ledger opens");
  Ledger& ledger = opened.value();
  AppendOptions options;
  options.on_refusal = OnRefusal::keep_good;
  const auto first = ledger.append_lines(bytes, options);
  must_hold(first.ok(), "recording refuses and does not fail");
  const auto found = verify(ledger, Depth::full);
  must_hold(found.ok() && found.value().problems.empty(), "what is taken verifies");
  const auto second = ledger.append_lines(bytes, options);
  must_hold(second.ok() && second.value().taken == 0, "taken again it is known");
  must_hold(second.value().repeated == first.value().taken + first.value().repeated, "every good line is known");
  auto tables = links::Links::open(ledger);
  must_hold(tables.ok() && tables.value().catch_up().ok(), "tables follow");
  const auto difference = tables.value().same_as_fresh();
  must_hold(difference.ok() && !difference.value(), "tables that grew are those derived afresh");
}

}  // namespace trayproof::fuzz
