#include "tests/bench/export_floor.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstring>

#include "ledger/base/check.h"
#include "ledger/base/time.h"

namespace trayproof::bench {
namespace {

// Saturated steam near 121 °C, well enough for a bench.
double kpa_of(double celsius) { return 101.3 * std::exp((celsius - 100) / 27.5); }

double shape(std::int64_t second) {
  const double minute = static_cast<double>(second % 7200) / 60;
  if (minute < 15) return 24 + minute * (121.6 - 24) / 15;
  if (minute < 35) return 121.6;
  if (minute < 60) return 121.6 - (minute - 35) * (121.6 - 30) / 25;
  return 24 + 6 * std::exp(-(minute - 60) / 10);
}

int fixed(char* out, int hundredths) {
  const bool negative = hundredths < 0;
  const unsigned size = static_cast<unsigned>(negative ? -hundredths : hundredths);
  return std::sprintf(out, "%s%u,%02u", negative ? "-" : "", size / 100, size % 100);
}

int two(const char* p) { return (p[0] - '0') * 10 + (p[1] - '0'); }
bool digits(const char* p, int count) {
  for (int i = 0; i < count; ++i) {
    if (p[i] < '0' || p[i] > '9') return false;
  }
  return true;
}

struct DayMemory {
  char text[10] = {};
  std::int64_t day = 0;
};

bool parse_stamp(const char*& at, const char* end, DayMemory& memory, std::int64_t& seconds) {
  if (end - at < 19 || !digits(at, 2) || at[2] != '.' || !digits(at + 3, 2) || at[5] != '.' || !digits(at + 6, 4) ||
      at[10] != ' ' || !digits(at + 11, 2) || at[13] != ':' || !digits(at + 14, 2) || at[16] != ':' ||
      !digits(at + 17, 2))
    return false;
  if (std::memcmp(at, memory.text, 10) != 0) {
    const CivilDate date{two(at + 6) * 100 + two(at + 8), two(at + 3), two(at)};
    if (!is_date(date)) return false;
    memory.day = days_since_epoch(date);
    std::memcpy(memory.text, at, 10);
  }
  const int hour = two(at + 11);
  const int minute = two(at + 14);
  const int second = two(at + 17);
  if (hour > 23 || minute > 59 || second > 59) return false;
  seconds = memory.day * 86400 + hour * 3600 + minute * 60 + second;
  at += 19;
  return true;
}

bool parse_value(const char*& at, const char* end, double& value) {
  char text[32];
  int length = 0;
  for (; at + length < end && at[length] != ';' && length < 31; ++length)
    text[length] = at[length] == ',' ? '.' : at[length];
  const auto done = std::from_chars(text, text + length, value, std::chars_format::fixed);
  if (done.ec != std::errc() || done.ptr != text + length) return false;
  at += length;
  return true;
}

}  // namespace

std::int64_t write_export(const std::string& path, std::int64_t bytes) {
  std::FILE* const file = std::fopen(path.c_str(), "wb");
  CHECK(file != nullptr);
  std::int64_t written = std::fprintf(file, "Zeit;T1 [°C];T2 [°C];P1 [kPa];P2 [kPa]\r\n");
  std::int64_t rows = 0;
  std::uint64_t noise = 88172645463325252ULL;
  constexpr std::int64_t first_s = 1451606400;  // 2016-01-01
  while (written < bytes) {
    noise ^= noise << 13U;
    noise ^= noise >> 7U;
    noise ^= noise << 17U;
    const double t = shape(rows) + static_cast<double>(noise % 11) / 100 - 0.05;
    const double p = kpa_of(std::max(t, 99.6));
    const CivilTime time = civil_of({(first_s + rows) * 1000}, 0);
    char line[160];
    int length = std::sprintf(line, "%02d.%02d.%04d %02d:%02d:%02d", time.date.day, time.date.month, time.date.year,
                              time.hour, time.minute, time.second);
    for (const double value : {t, t - 0.1, p, p - 101.3}) {
      line[length++] = ';';
      length += fixed(line + length, static_cast<int>(std::lround(value * 100)));
    }
    line[length++] = '\r';
    line[length++] = '\n';
    CHECK(std::fwrite(line, 1, static_cast<std::size_t>(length), file) == static_cast<std::size_t>(length));
    written += length;
    ++rows;
  }
  CHECK(std::fclose(file) == 0);
  return rows;
}

Parsed parse_bare(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  struct stat about {};
  CHECK(fd >= 0 && ::fstat(fd, &about) == 0);
  const auto size = static_cast<std::size_t>(about.st_size);
  void* const mapped = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, fd, 0);
  CHECK(mapped != MAP_FAILED);
  ::madvise(mapped, size, MADV_SEQUENTIAL);
  const char* at = static_cast<const char*>(mapped);
  const char* const end = at + size;
  Parsed out;
  DayMemory memory;
  while (at < end) {
    const void* const found = std::memchr(at, '\n', static_cast<std::size_t>(end - at));
    const char* const next = found == nullptr ? end : static_cast<const char*>(found);
    const char* const line_end = next > at && next[-1] == '\r' ? next - 1 : next;
    std::int64_t seconds = 0;
    double values[4] = {};
    bool good = parse_stamp(at, line_end, memory, seconds);
    for (double& value : values) {
      good = good && at < line_end && *at == ';' && parse_value(++at, line_end, value);
    }
    if (good && at == line_end) {
      ++out.rows;
      out.stamps += seconds;
      out.sum += values[0];
    }
    at = next + 1;
  }
  ::munmap(mapped, size);
  ::close(fd);
  return out;
}

}  // namespace trayproof::bench
