// Many recorders share commits; each is answered and refused for itself. docs/ledger-format.md, "Signatures".
#include "ledger/shared_commit.h"

#include <atomic>
#include <optional>
#include <set>

#include "ledger/words/language.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string packed(const std::string& pack) {
  return R"({"kind":"packed","at":"2026-10-05T09:00:00+05:00","by":"ana","set":"DS-1","wrap":"wrapped","pack":")" +
         pack + "\"}";
}

std::string delivered(const std::string& procedure, const std::string& number) {
  return R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","sort":"delivery","place":"room",)"
         R"("packs":[],"procedure":")" +
         procedure + R"(","patient":")" + number + "\"}";
}

Appending appending(const std::vector<std::string>& events) {
  Appending one;
  for (const std::string& event : events) one.events.push_back({.line = 0, .event = event_of(event)});
  return one;
}

}  // namespace

TEST_CASE("appends that come together share one commit and one signature") {
  WardLedger ward;
  const std::vector<Appending> all = {appending({packed("PK-1")}), appending({packed("PK-2"), packed("PK-3")}),
                                      appending({packed("PK-1")})};
  const auto outcomes = ward.ledger().append_together(all);
  REQUIRE_EQ(outcomes.size(), 3);
  for (const auto& outcome : outcomes) REQUIRE(outcome.ok());
  CHECK(outcomes[0].value().seqs == std::vector<std::int64_t>{first_seq});
  CHECK(outcomes[1].value().seqs == std::vector<std::int64_t>{first_seq + 1, first_seq + 2});
  CHECK_EQ(outcomes[1].value().taken, 2);
  // The same content is the same event, also in the same commit.
  CHECK(outcomes[2].value().seqs == std::vector<std::int64_t>{first_seq});
  CHECK_EQ(outcomes[2].value().repeated, 1);
  CHECK_EQ(outcomes[2].value().taken, 0);
  CHECK(ward.ledger().entry(first_seq).value().sig.empty());
  CHECK(ward.ledger().entry(first_seq + 1).value().sig.empty());
  CHECK_EQ(ward.entry(first_seq + 2).number_at("signs"), static_cast<double>(first_seq));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a refusal in a shared commit touches only its own append") {
  WardLedger ward;
  const std::string other =
      R"({"kind":"packed","at":"2026-10-05T10:00:00+05:00","by":"bo","set":"DS-2","wrap":"drum","pack":"PK-1"})";
  const std::vector<Appending> all = {appending({packed("PK-1")}), appending({other}),
                                      appending({packed("PK-2"), R"({"kind":"packed","by":"ana"})"}),
                                      appending({packed("PK-3")})};
  const auto outcomes = ward.ledger().append_together(all);
  REQUIRE_EQ(outcomes.size(), 4);
  CHECK_EQ(outcomes[0].value().taken, 1);
  CHECK_EQ(outcomes[1].value().taken, 0);
  REQUIRE_EQ(outcomes[1].value().refusals.size(), 1);
  CHECK_EQ(outcomes[1].value().refusals[0].field, "pack");
  CHECK_EQ(outcomes[2].value().taken, 0);
  CHECK(!outcomes[2].value().refusals.empty());
  CHECK_EQ(outcomes[3].value().taken, 1);
  CHECK_EQ(ward.size(), first_seq + 1);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("each is refused in their own language by whichever thread appends for them") {
  WardLedger ward;
  const std::string bad = R"({"kind":"packed","by":"ana"})";
  const auto whys = [](const Result<Appended>& done) {
    std::vector<std::string> out;
    REQUIRE(done.ok());
    for (const events::Refusal& one : done.value().refusals) out.push_back(one.why);
    REQUIRE(!out.empty());
    return out;
  };
  const auto ask = [&](Language spoken, const auto& work) {
    const Speaking speaking(spoken);
    return work();
  };
  using enum Language;
  const auto direct = [&] { return whys(ward.ledger().append(appending({bad}).events, {})); };
  const auto in_english = ask(english, direct);
  const auto in_french = ask(french, direct);
  CHECK(in_english != in_french);
  {
    // What was given as lines is read on a thread of its own.
    const auto as_lines = [&] { return whys(ward.ledger().append_lines(bad, {})); };
    CHECK(ask(french, as_lines) == in_french);
    SharedCommit shared(ward.ledger());
    const auto by_another = [&] { return whys(shared.append(appending({bad}).events, {})); };
    CHECK(ask(french, by_another) == in_french);
    CHECK(ask(english, by_another) == in_english);
    std::optional<Language> spoken;
    ask(hindi, [&] { shared.alone([&](Ledger&) { spoken = language(); }); });
    CHECK(spoken == hindi);
  }
  // Of those that come together, each in their own.
  const auto from = [&](Language spoken) { return ask(spoken, [&] { return appending({bad}); }); };
  const std::vector<Appending> all = {from(french), from(english)};
  const auto outcomes = ward.ledger().append_together(all);
  REQUIRE_EQ(outcomes.size(), 2);
  CHECK(whys(outcomes[0]) == in_french);
  CHECK(whys(outcomes[1]) == in_english);
}

TEST_CASE("recorders on many threads lose nothing and double nothing") {
  WardLedger ward;
  constexpr int recorders = 12;
  constexpr int each = 25;
  std::atomic<int> failed = 0;
  std::mutex mutex;
  std::set<std::int64_t> seqs;
  {
    SharedCommit shared(ward.ledger());
    std::vector<std::thread> threads;
    for (int recorder = 0; recorder < recorders; ++recorder) {
      threads.emplace_back([&, recorder] {
        for (int i = 0; i < each; ++i) {
          const std::string id = std::to_string(recorder) + "-" + std::to_string(i);
          const auto done = shared.append(
              {{.line = 0, .event = event_of(delivered("P-" + id, "MR" + std::to_string(10'000 + i)))}}, {});
          if (!done.ok() || done.value().taken != 1) {
            ++failed;
            continue;
          }
          const std::lock_guard lock(mutex);
          seqs.insert(done.value().first);
        }
      });
    }
    for (std::thread& thread : threads) thread.join();
  }
  CHECK_EQ(failed, 0);
  CHECK_EQ(seqs.size(), recorders * each);
  CHECK_EQ(ward.size(), first_seq - 1 + recorders * each);
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("what an append knows of patients follows the file") {
  WardLedger ward;
  const auto refused_note = [&](const std::string& text) {
    return !ward.record(R"({"kind":"pack-opened","at":"2026-10-05T10:00+05:00","by":"ana","pack":"PK-1","note":")" +
                        text + "\"}")
                .refusals.empty();
  };
  // A number of an event that was refused is not known afterwards.
  CHECK(!ward.refusals(R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","patient":"MR77001"})")
             .empty());
  CHECK(!refused_note("asked for MR77001"));
  ward.take(delivered("P-1", "MR77001"));
  CHECK(refused_note("asked again for MR77001"));
  // Another program's patient is known at once, under the same pseudonym.
  Ledger other = opened(ward.path(), ward.clock());
  AppendOptions options;
  REQUIRE(other.append({{.line = 0, .event = event_of(delivered("P-2", "MR77002"))}}, options).ok());
  CHECK(refused_note("asked for MR77002"));
  const std::int64_t seq = ward.take(delivered("P-3", "MR77002"));
  CHECK_EQ(ward.entry(seq).text_at("patient"), ward.entry(seq - 1).text_at("patient"));
  CHECK(problems(ward.ledger()).empty());
}
