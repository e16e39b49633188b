// What a ten-year ledger costs to be asked:
//
//   bench_ten_years [YEARS] [PATH]    default 10 years in /tmp/trayproof-decade-YEARS.trayproof, kept for the next run
//
// Derived once; then, each in a process of its own so that its peak memory is its own: all rules over the quarter in
// the middle (aim: under 10 s), that quarter's workbook (under 15 s, under 128 MiB, and 0.85 of the bare library's rows
// a second, one after the other many times), and every question over that quarter (under 1 s each).
#include <sys/resource.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "report/answers/answer.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/review/review.h"
#include "tests/bench/bare_book.h"
#include "tests/bench/floor.h"
#include "tests/bench/ten_years.h"

using namespace trayproof;

namespace {

struct Quarter {
  Instant from;
  Instant until;
};

Quarter middle(int years) {
  const Instant from{bench::decade_begins().ms + years * 365 / 2 * day_ms};
  return {from, {from.ms + 91 * day_ms - 1}};
}

struct Opened {
  SystemClock clock;
  std::optional<Ledger> ledger;
  std::optional<links::Links> tables;
};

Result<void> open(const std::string& path, Opened& out) {
  TRY_LET(auto ledger, Ledger::open(path, out.clock, store::Access::read));
  out.ledger.emplace(std::move(ledger));
  TRY_LET(auto tables, links::Links::open(*out.ledger));
  out.tables.emplace(std::move(tables));
  return {};
}

Result<double> findings(Opened& opened, const Quarter& quarter) {
  TRY_LET(auto editions, opened.ledger->editions());
  gaps::Question question;
  question.from = quarter.from;
  question.until = quarter.until;
  TRY_LET(const auto found,
          gaps::find_gaps(opened.tables->database(), std::move(editions), opened.clock.now(), question,
                          review::kept_answers(*opened.ledger), gaps::recall_again(*opened.ledger, *opened.tables),
                          gaps::recall_work(*opened.ledger, *opened.tables)));
  return static_cast<double>(found.gaps.size());
}

// Seconds of gathering and of writing, and rows of the sheets that grow with the period.
struct Book {
  double gathered = 0;
  double written = 0;
  double rows = 0;
};

std::string scratch() { return "/tmp/trayproof-bench-" + std::to_string(::getpid()) + ".xlsx"; }

Result<review::Review> gathered(Opened& opened, const Quarter& quarter) {
  return review::gather(*opened.ledger, *opened.tables, opened.clock.now(),
                        {.from = quarter.from, .until = quarter.until, .what_if = {}});
}

Result<Book> book(Opened& opened, const Quarter& quarter) {
  Book out;
  const double began = bench::now_s();
  TRY_LET(const auto review, gathered(opened, quarter));
  out.gathered = bench::now_s() - began;
  const auto measured = bench::whole_book(review.facts, scratch());
  ::unlink(scratch().c_str());
  out.written = measured.seconds;
  out.rows = measured.rows;
  return out;
}

Result<void> print_ratios(Opened& opened, const Quarter& quarter) {
  constexpr int times = 11;
  TRY_LET(const auto review, gathered(opened, quarter));
  const auto ratios = bench::ratios_of(review.facts, scratch(), times);
  std::printf("  rows a second of the bare library's, %d times: by the clock %s, at work %s (aim: at least 0.85)\n",
              times, bench::median_and_range(ratios.clock).c_str(), bench::median_and_range(ratios.cpu).c_str());
  return {};
}

// Something that the quarter holds, for questions that ask about one thing.
Result<std::string> thing(Opened& opened, std::string_view parameter, const Quarter& quarter) {
  static constexpr std::pair<std::string_view, std::string_view> queries[] = {
      {"pack", "SELECT pack FROM uses WHERE use_ms > ? LIMIT 1"},
      {"load", "SELECT load FROM loads WHERE start_ms > ? AND packs > 1 ORDER BY start_ms LIMIT 1"},
      {"set", "SELECT \"set\" FROM uses WHERE use_ms > ? LIMIT 1"},
      {"equipment", "SELECT equipment FROM loads WHERE start_ms > ? AND packs > 1 ORDER BY start_ms LIMIT 1"},
      {"procedure", "SELECT procedure FROM uses WHERE use_ms > ? LIMIT 1"},
      {"procedures",
       "SELECT group_concat(procedure) FROM (SELECT DISTINCT procedure FROM uses WHERE use_ms > ? LIMIT 5)"},
      {"id", "SELECT load FROM loads WHERE start_ms > ? AND packs > 1 ORDER BY start_ms LIMIT 1"},
      {"key", "SELECT 'shelf.days.wrapped' WHERE ? > 0"},
      {"seed", "SELECT '12345' WHERE ? > 0"},
  };
  for (const auto& [name, query] : queries) {
    if (name != parameter) continue;
    TRY_LET(auto rows, opened.tables->database().prepare(query));
    rows.bind(1, quarter.from.ms);
    TRY_LET(const bool there, rows.step());
    if (there) return std::string(rows.text(0));
  }
  return Error(ErrorCode::missing, "nothing to ask with for --" + std::string(parameter));
}

// The slowest questions, one line each; the worst in seconds.
Result<double> answers(Opened& opened, const Quarter& quarter) {
  TRY_LET(const auto editions, opened.ledger->editions());
  double worst = 0;
  for (const answers::Question& question : answers::questions()) {
    answers::Asked asked;
    asked.question = &question;
    asked.from = quarter.from;
    asked.until = quarter.until;
    for (const answers::Parameter& one : question.parameters) {
      if (!one.usual.empty()) continue;
      TRY_LET(asked.given[std::string(one.name)], thing(opened, one.name, quarter));
    }
    const double began = bench::now_s();
    auto answer = answers::ask(asked, *opened.tables, editions);
    const double seconds = bench::now_s() - began;
    if (!answer.ok() || seconds > 0.5)
      std::fprintf(stderr, "  %-32s %.2f s %s\n", std::string(question.id).c_str(), seconds,
                   answer.ok() ? "" : answer.error().sentence().c_str());
    worst = std::max(worst, seconds);
  }
  return worst;
}

int report_ratios(const std::string& path, const Quarter& quarter) {
  Opened opened;
  auto done = open(path, opened);
  if (done.ok()) done = print_ratios(opened, quarter);
  if (!done.ok()) return std::fprintf(stderr, "bench_ten_years: %s\n", done.error().sentence().c_str()), 1;
  return 0;
}

int measure(const std::string& what, const std::string& path, const Quarter& quarter) {
  Opened opened;
  const double began = bench::now_s();
  std::array<double, 4> told{};
  const auto done = [&]() -> Result<void> {
    TRY(open(path, opened));
    if (what == "gaps") {
      TRY_LET(told[1], findings(opened, quarter));
    } else if (what == "answers") {
      TRY_LET(told[1], answers(opened, quarter));
    } else if (what == "book") {
      TRY_LET(const Book one, book(opened, quarter));
      told = {0, one.gathered, one.written, one.rows};
    } else {
      CHECK(what == "open");
    }
    return {};
  }();
  if (!done.ok()) return std::fprintf(stderr, "bench_ten_years: %s\n", done.error().sentence().c_str()), 1;
  struct ::rusage used {};
  ::getrusage(RUSAGE_SELF, &used);
  std::printf("%.3f %.3f %.3f %.0f %.1f\n", bench::now_s() - began, told[1], told[2], told[3],
              static_cast<double>(used.ru_maxrss) / 1024);
  return 0;
}

struct Answered {
  double seconds = 0, first = 0, second = 0, rows = 0, peak_mib = 0;
};

// The same program as a child.
std::string command_of(const char* what, const std::string& path, int years) {
  std::array<char, 4096> self{};
  CHECK(::readlink("/proc/self/exe", self.data(), self.size() - 1) > 0);
  return std::string(self.data()) + " --measure " + what + " " + path + " " + std::to_string(years);
}

Answered child(const char* what, const std::string& path, int years) {
  const std::string command = command_of(what, path, years);
  std::FILE* out = ::popen(command.c_str(), "r");
  CHECK(out != nullptr);
  Answered answer;
  const int read = std::fscanf(out, "%lf %lf %lf %lf %lf", &answer.seconds, &answer.first, &answer.second, &answer.rows,
                               &answer.peak_mib);
  CHECK(::pclose(out) == 0 && read == 5);
  return answer;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 5 && std::strcmp(argv[1], "--measure") == 0) {
    const Quarter quarter = middle(std::atoi(argv[4]));
    if (std::strcmp(argv[2], "ratios") == 0) return report_ratios(argv[3], quarter);
    return measure(argv[2], argv[3], quarter);
  }
  bench::Decade decade;
  if (argc > 1) decade.years = std::atoi(argv[1]);
  const std::string path = argc > 2 ? argv[2] : "/tmp/trayproof-decade-" + std::to_string(decade.years) + ".trayproof";
  const auto done = bench::record_decade(path, decade);
  if (!done.ok()) return std::fprintf(stderr, "bench_ten_years: %s\n", done.error().sentence().c_str()), 1;
  const Answered opened = child("open", path, decade.years);
  std::printf("opened (and derived, where it was not): %.1f s, peak %.0f MiB\n", opened.seconds, opened.peak_mib);
  const Answered found = child("gaps", path, decade.years);
  std::printf("all rules over a quarter: %.2f s, %.0f findings, peak %.0f MiB (aim: under 10 s)\n", found.seconds,
              found.first, found.peak_mib);
  const Answered book = child("book", path, decade.years);
  std::printf(
      "the quarter's workbook: %.2f s (gathered %.2f s, written %.2f s), peak %.0f MiB (aim: under 15 s, 128 MiB)\n",
      book.seconds, book.first, book.second, book.peak_mib);
  std::printf("  %.0f rows in the sheets that grow with the period\n", book.rows);
  std::fflush(stdout);
  if (std::system(command_of("ratios", path, decade.years).c_str()) != 0) return 1;
  const Answered asked = child("answers", path, decade.years);
  std::printf("every question over a quarter: the slowest %.2f s, peak %.0f MiB (aim: under 1 s)\n", asked.first,
              asked.peak_mib);
  return 0;
}
