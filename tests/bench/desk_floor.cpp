// What the desk is measured against, in the same run: the bare library answering so many bytes
// (`page PORT BYTES`), and recorders who share commits without any desk (`appends FOLDER`).
#include <httplib.h>

#include <cstdio>
#include <cstdlib>
#include <thread>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/shared_commit.h"
#include "ledger/sop/default.h"
#include "tests/bench/floor.h"

using namespace trayproof;

namespace {

int serve_page(int port, std::size_t bytes) {
  httplib::Server server;
  const std::string page(bytes, 'x');
  server.Get("/", [&](const httplib::Request&, httplib::Response& to) { to.set_content(page, "text/html"); });
  server.set_tcp_nodelay(true);  // without it an answer takes 44 ms
  server.set_keep_alive_max_count(1'000'000);
  server.new_task_queue = [] { return new httplib::ThreadPool(32); };  // as many as the desk has for pages
  return server.listen("127.0.0.1", port) ? 0 : 1;
}

// The same small event as desk_append.lua sends.
json::Value event_of(int recorder, int number) {
  const std::string slip = "b-" + std::to_string(recorder) + "-" + std::to_string(number);
  return json::Value::object()
      .set("kind", "packed")
      .set("at", "2026-11-02T08:00:00+05:00")
      .set("by", "ana")
      .set("pack", slip)
      .set("set", "DS-1")
      .set("wrap", "wrapped")
      .set("slip", slip);
}

Result<double> shared_rate(const std::string& path) {
  constexpr int recorders = 32;
  constexpr int each = 300;
  SystemClock clock;
  TRY_LET(
      auto ledger,
      Ledger::create(
          path, {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = {}, .sop_toml = std::string(sop::default_sop())},
          clock));
  AppendOptions options;
  options.same_content_repeats = false;
  SharedCommit shared(ledger);
  const double began = bench::now_s();
  std::vector<std::thread> threads;
  for (int recorder = 0; recorder < recorders; ++recorder) {
    threads.emplace_back([&, recorder] {
      for (int number = 0; number < each; ++number) {
        const auto done = shared.append({{.line = 0, .event = event_of(recorder, number)}}, options);
        CHECK(done.ok() && done.value().taken == 1);
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  return recorders * each / (bench::now_s() - began);
}

}  // namespace

int main(int count, char** words) {
  const std::string_view what = count > 1 ? words[1] : "";
  if (what == "page" && count == 4) return serve_page(std::atoi(words[2]), std::strtoul(words[3], nullptr, 10));
  if (what != "appends" || count != 3) return 2;
  const auto rate = shared_rate(words[2]);
  if (!rate.ok()) {
    std::fprintf(stderr, "%s\n", rate.error().sentence().c_str());
    return 1;
  }
  std::printf("%.0f\n", rate.value());
  return 0;
}
