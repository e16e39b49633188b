// Reading a logger's export of 1 GiB (or of as many MiB as the first argument says) against the bare machine, in the
// same run: a single pass of std::from_chars over the same file, and Miller, where it is installed; and taking it into
// a ledger against hashing, deflating and storing the same file with nothing read.
#include <sys/resource.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

#include "importer/evidence.h"
#include "importer/import.h"
#include "importer/judging/stream.h"
#include "importer/reading/file_source.h"
#include "importer/reading/reading.h"
#include "ledger/kept_curves.h"
#include "ledger/store/deflate.h"
#include "ledger/store/small_cache.h"
#include "tests/bench/export_floor.h"
#include "tests/bench/floor.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;

namespace {

class Sum : public reading::RowSink {
 public:
  void begin(const reading::Reading&, reading::Extent) override { out = {}; }
  void row(const reading::Row& row) override {
    ++out.rows;
    out.stamps += row.at ? row.at->ms / 1000 : 0;
    out.sum += row.values[0];
  }
  bool end(const reading::Reading&) override { return true; }
  bench::Parsed out;
};

double seconds_of(auto&& work) {
  const double began = bench::now_s();
  work();
  return bench::now_s() - began;
}

double peak_mib() {
  struct rusage usage {};
  ::getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024;
}

void tell(const char* what, double mb, double seconds) {
  std::printf("%-44s %7.2f s %7.0f MB/s  peak %.0f MiB\n", what, seconds, mb / seconds, peak_mib());
  std::fflush(stdout);
}

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "bench: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

// The whole of `import curve` but the looking for twins: read, hashed, judged, the export and its curves in the ledger.
void take_in(const std::string& path, double mb, double& curves_s, double& whole_s) {
  tests::WardLedger ward;
  Ledger& ledger = ward.ledger();
  auto tables = must(links::Links::open(ledger));
  CHECK(tables.catch_up().ok());
  const auto editions = must(ledger.editions());
  const importer::Source source{.equipment = "AC-1", .logger = {}, .load = {}};
  const auto around = must(importer::surroundings(ledger, tables, editions, source));
  auto file = must(reading::FileSource::open(path));
  importer::CodedCurves curves(ledger.path());
  importer::Import import;
  const double read_s = seconds_of([&] { import = must(importer::read_and_judge(file, {}, around, {}, curves)); });
  tell("reading, hashing and judging", mb, read_s);
  const double store_s = seconds_of([&] {
    const store::SmallCache cache(ledger.file().database());  // as `keep` has for a long export
    CHECK(ledger
              .in_one_step([&]() -> Result<void> {
                for (std::size_t i = 0; i < curves.size(); ++i) {
                  TRY_LET(auto one, curves.at(i));
                  TRY(keep_curve(ledger, import.file, static_cast<std::int64_t>(i + 1), std::move(one.bytes),
                                 std::move(one.sketch)));
                }
                return {};
              })
              .ok());
  });
  curves_s = read_s + store_s;
  tell("and its curves stored durably", mb, curves_s);
  importer::Kept kept;
  const double keep_s = seconds_of([&] { kept = must(importer::keep(ledger, tables, import, file, curves, source)); });
  CHECK(kept.refusals.empty() && kept.curves > 0);
  whole_s = read_s + keep_s;
  tell("and the export itself and its events", mb, whole_s);
}

// Every byte hashed, deflated and stored in one durable step, by the same library and level, one piece after the other.
double store_bare(const std::string& path) {
  tests::WardLedger ward;
  store::LedgerFile& file = ward.ledger().file();
  return seconds_of([&] {
    auto reader = must(reading::FileSource::open(path));
    crypto::Sha256Stream hash;
    CHECK(ward.ledger()
              .in_one_step([&]() -> Result<void> {
                TRY_LET(auto write, file.database().prepare(
                                        "INSERT INTO attachment_parts (sha256, part, deflated) VALUES (?, ?, ?)"));
                const Digest name{};
                for (std::int64_t part = 0;; ++part) {
                  TRY_LET(const ByteView plain, reader.next(1'000'000));
                  if (plain.empty()) return {};
                  hash.feed(plain);
                  TRY_LET(const Bytes packed, store::deflated(plain));
                  write.bind(1, ByteView(name)).bind(2, part).bind_view(3, ByteView(packed));
                  TRY(write.run());
                }
              })
              .ok());
    CHECK(hash.finish() != Digest{});
  });
}

}  // namespace

int main(int count, char** arguments) {
  const std::int64_t mib = count > 1 ? std::atoll(arguments[1]) : 1024;
  const std::string path = "/tmp/trayproof-import-bench.csv";
  const std::int64_t rows = bench::write_export(path, mib << 20U);
  const double mb = static_cast<double>(mib) * 1.048576;
  reading::Options options;
  options.time.zone = Zone::find("Asia/Kolkata").value();

  double curves_s = 0;
  double whole_s = 0;
  take_in(path, mb, curves_s, whole_s);
  Sum sum;
  const double read_s = seconds_of([&] {
    auto source = reading::FileSource::open(path);
    CHECK(reading::read(source.value(), options, sum).ok());
  });
  tell("reading", mb, read_s);
  std::size_t cycles = 0;
  judging::CycleStream stream(
      {}, false,
      {.begin = [] {}, .stretch = [&](const auto&, const auto& found, std::size_t) { cycles += found.size(); }});
  const double cycles_s = seconds_of([&] {
    auto source = reading::FileSource::open(path);
    CHECK(reading::read(source.value(), options, stream).ok());
  });
  tell("reading and finding cycles", mb, cycles_s);
  bench::Parsed bare;
  const double bare_s = seconds_of([&] { bare = bench::parse_bare(path); });
  tell("bare pass of std::from_chars", mb, bare_s);
  const std::int64_t offset_s = 19800 * rows;
  std::printf("rows %lld, %zu cycles; same rows %s, same sums %s\n", static_cast<long long>(rows), cycles,
              bare.rows == rows && sum.out.rows == rows ? "yes" : "NO",
              bare.sum == sum.out.sum && bare.stamps - offset_s == sum.out.stamps ? "yes" : "NO");
  std::printf("reading / bare pass: %.2f (aim: at least 0.8)\n", bare_s / read_s);
  const double stored_s = store_bare(path);
  tell("bare: hashed, deflated, stored", mb, stored_s);
  std::printf("read, hashed, curves stored / bare: %.2f (aim: at least 0.6); the whole import: %.2f\n",
              stored_s / curves_s, stored_s / whole_s);
  if (std::system("command -v mlr >/dev/null") == 0) {
    const double miller_s = seconds_of([&] {
      CHECK(std::system(("mlr --icsv --ocsv --ifs ';' --ofs ';' cat " + path + " >/dev/null").c_str()) == 0);
    });
    std::printf("Miller's cat: %.2f s; reading is %.1f times as fast (aim: at least 8)\n", miller_s, miller_s / read_s);
  } else {
    std::printf("Miller is not installed: not compared\n");
  }
  ::unlink(path.c_str());
}
