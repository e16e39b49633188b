// Reading a logger's export of 1 GiB (or of as many MiB as the first argument says) against the bare machine, in the
// same run: a single pass of std::from_chars over the same file, and Miller, where it is installed.
#include <sys/resource.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

#include "importer/judging/stream.h"
#include "importer/reading/file_source.h"
#include "importer/reading/reading.h"
#include "tests/bench/export_floor.h"
#include "tests/bench/floor.h"

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

}  // namespace

int main(int count, char** arguments) {
  const std::int64_t mib = count > 1 ? std::atoll(arguments[1]) : 1024;
  const std::string path = "/tmp/trayproof-import-bench.csv";
  const std::int64_t rows = bench::write_export(path, mib << 20U);
  const double mb = static_cast<double>(mib) * 1.048576;
  reading::Options options;
  options.time.zone = Zone::find("Asia/Kolkata").value();

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
