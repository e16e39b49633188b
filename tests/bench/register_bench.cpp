// What taking a parcel in costs, against the bare machine in the same run: PostgreSQL's COPY of the same rows into a
// table of the same form, made up beforehand and sent as fast as the socket takes them, and Ed25519 over the signatures
// there are. Then what it costs to derive.
//
//   bench_register CONNINFO [EVENTS] [PORTION]     PORTION events share a commit, and so a signature
#include <libpq-fe.h>

#include <charconv>
#include <cstring>
#include <string>
#include <vector>

#include "ledger/crypto/sign.h"
#include "report/register/derive.h"
#include "report/register/receive.h"
#include "tests/bench/floor.h"
#include "tests/bench/register_made.h"
#include "tests/support/folder.h"

using namespace trayproof;
using bench::must;

namespace {

// The rows as PostgreSQL's binary COPY takes them, and what signs them.
struct Bare {
  std::vector<std::string> pieces;
  struct Signed {
    crypto::PublicKey key;
    Digest hash;
    Bytes sig;
  };
  std::vector<Signed> signatures;
  std::int64_t bytes = 0;
};

void put(std::string& out, std::string_view value) {
  const auto size = static_cast<std::uint32_t>(value.size());
  for (int shift = 24; shift >= 0; shift -= 8) out += static_cast<char>(size >> shift & 0xFF);
  out += value;
}

template <typename T>
std::string big_endian(T value) {
  std::string out;
  for (int shift = 8 * (static_cast<int>(sizeof value) - 1); shift >= 0; shift -= 8)
    out += static_cast<char>(static_cast<std::uint64_t>(value) >> shift & 0xFF);
  return out;
}

Bare make_bare(const bench::MadeParcel& made) {
  Bare bare;
  bare.pieces.emplace_back("PGCOPY\n\377\r\n\0\0\0\0\0\0\0\0\0", 19);
  const auto arrived = must(parcel::Arrived::open(made.parcel));
  const auto walked = must(arrived.walk({}, [&](const evidence::Entry& entry) -> Result<void> {
    if (bare.pieces.back().size() > 128 * 1024) bare.pieces.emplace_back();
    std::string& out = bare.pieces.back();
    out += big_endian(std::int16_t{8});
    put(out, made.ledger);
    put(out, big_endian(std::int32_t{1}));
    put(out, big_endian(entry.seq));
    put(out, entry.kind);
    put(out, big_endian(entry.recorded->ms * 1000 - 946'684'800'000'000));
    put(out, entry.bytes);
    put(out, as_text(entry.hash));
    put(out, as_text(entry.sig));
    if (!entry.sig.empty()) {
      Bare::Signed& one = bare.signatures.emplace_back();
      from_hex(*entry.event().text_at("key"), one.key);
      one.hash = entry.hash, one.sig = entry.sig;
    }
    return {};
  }));
  if (walked.wrong) std::exit(1);
  bare.pieces.emplace_back("\377\377", 2);
  for (const std::string& one : bare.pieces) bare.bytes += static_cast<std::int64_t>(one.size());
  return bare;
}

void run(PGconn* connection, const char* sql) {
  PGresult* const result = PQexec(connection, sql);
  const auto status = PQresultStatus(result);
  if (status != PGRES_COMMAND_OK && status != PGRES_COPY_IN && status != PGRES_TUPLES_OK) {
    std::fprintf(stderr, "%s: %s\n", sql, PQerrorMessage(connection));
    std::exit(1);
  }
  PQclear(result);
}

double bare_copy(PGconn* connection, const Bare& bare) {
  run(connection, "TRUNCATE bench_entries; CHECKPOINT");
  const double begun = bench::now_s();
  run(connection, "BEGIN");
  run(connection, "COPY bench_entries FROM STDIN (FORMAT binary)");
  for (const std::string& one : bare.pieces) {
    if (PQputCopyData(connection, one.data(), static_cast<int>(one.size())) != 1) std::exit(1);
  }
  if (PQputCopyEnd(connection, nullptr) != 1) std::exit(1);
  while (PGresult* const result = PQgetResult(connection)) {
    if (PQresultStatus(result) != PGRES_COMMAND_OK)
      std::fprintf(stderr, "%s\n", PQerrorMessage(connection)), std::exit(1);
    PQclear(result);
  }
  run(connection, "COMMIT");
  return bench::now_s() - begun;
}

double bare_signatures(const Bare& bare) {
  const double begun = bench::now_s();
  for (const Bare::Signed& one : bare.signatures) {
    if (!crypto::check_signature(one.key, one.hash, one.sig)) std::exit(1);
  }
  return bench::now_s() - begun;
}

std::int64_t number(const char* text) {
  std::int64_t value = 0;
  std::from_chars(text, text + std::strlen(text), value);
  return value;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return std::fprintf(stderr, "bench_register CONNINFO [EVENTS] [PORTION]\n"), 2;
  const std::string conninfo = argv[1];
  const std::int64_t events = argc > 2 ? number(argv[2]) : 100'000;
  const std::int64_t portion = argc > 3 ? number(argv[3]) : 20;
  const tests::Folder folder;
  SystemClock clock;
  auto connection = must(registry::Connection::open(conninfo));
  PGconn* const plain = PQconnectdb(conninfo.c_str());
  run(plain, "DROP TABLE IF EXISTS bench_entries; CREATE TABLE bench_entries (LIKE register.entries INCLUDING ALL)");
  const auto witness = must(registry::WitnessKey::make(folder.file("key"), "bench.example/register"));
  std::vector<double> ratios, copies, checks, takings, derivations;
  std::int64_t rows = 0;
  std::size_t signatures = 0;
  for (int round = 0; round < 3; ++round) {
    const auto made = bench::make_parcel(folder.path(), "ledger-" + std::to_string(round), events, portion);
    const Bare bare = make_bare(made);
    copies.push_back(bare_copy(plain, bare));
    checks.push_back(bare_signatures(bare));
    run(plain, "CHECKPOINT");
    const double begun = bench::now_s();
    const auto arrived = must(parcel::Arrived::open(made.parcel));
    const auto done = must(registry::receive(connection, arrived, witness, clock.now()));
    takings.push_back(bench::now_s() - begun);
    if (done.outcome != registry::Outcome::taken || done.entries != made.events) return 1;
    ratios.push_back(takings.back() / (copies.back() + checks.back()));
    const double deriving = bench::now_s();
    rows = must(registry::derive(connection, made.ledger, clock));
    derivations.push_back(bench::now_s() - deriving);
    signatures = bare.signatures.size();
  }
  const auto middle = [](const std::vector<double>& values) { return bench::percentile(values, 0.5); };
  std::printf(
      "receive   %lld events, %zu signatures: %.2f s; bare COPY %.2f s + bare Ed25519 %.2f s; ratio %.2f (at most 2)\n",
      static_cast<long long>(events), signatures, middle(takings), middle(copies), middle(checks), middle(ratios));
  std::printf("derive    %lld rows of %lld events: %.2f s\n", static_cast<long long>(rows),
              static_cast<long long>(events), middle(derivations));
  PQfinish(plain);
  return 0;
}
