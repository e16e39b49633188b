// A parcel as it is sent and as it arrives: what holds is shown entry by entry, what does not is named by its seq.
#include <fstream>
#include <functional>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/log/chain.h"
#include "ledger/log/cosignature.h"
#include "ledger/witness.h"
#include "report/evidence/lines.h"
#include "report/evidence/zip_writer.h"
#include "report/parcel/arrived.h"
#include "report/parcel/format.h"
#include "report/parcel/send.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::parcel;
using trayproof::tests::holds;
using trayproof::tests::WardLedger;

namespace {

const char* const three =
    R"({"kind":"set-defined","at":"2026-10-05T08:00+05:00","by":"ana","set":"DS-1","title":"Delivery","contact":"critical","items":[{"item":"clamp","count":2}]}
{"kind":"packed","at":"2026-10-05T08:10+05:00","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped"}
{"kind":"packed","at":"2026-10-05T08:11+05:00","by":"ana","pack":"PK-2","set":"DS-1","wrap":"wrapped"}
)";
const char* const one_more =
    R"({"kind":"packed","at":"2026-10-05T08:20+05:00","by":"ana","pack":"PK-3","set":"DS-1","wrap":"wrapped"}
)";

std::string sent(WardLedger& ward, const std::string& name, std::int64_t since = 0) {
  const std::string file = ward.folder().file(name);
  const auto done = send(ward.ledger(), {.since = since, .title = "Ward", .zone = "Asia/Karachi", .output = file});
  REQUIRE_MESSAGE(done.ok(), (done.ok() ? std::string() : done.error().sentence()));
  return file;
}

// What a register would have kept of the entries before `size`.
Before before(WardLedger& ward, std::int64_t size) {
  Before held;
  const auto done = ward.ledger().scan(1, size, [&](const store::EntryView& entry) -> Result<void> {
    std::copy(entry.hash.begin(), entry.hash.end(), held.last_hash.begin());
    held.tree.add(held.last_hash);
    auto event = json::parse(entry.bytes);
    const auto kind = event.value().text_at("kind");
    if (entry.seq == 1 || kind == "key-added" || kind == "key-retired")
      held.kept.emplace_back(entry.seq, std::move(event).value());
    return {};
  });
  REQUIRE(done.ok());
  return held;
}

Walked walked(const std::string& file, const Before& held) {
  const auto arrived = Arrived::open(file);
  REQUIRE_MESSAGE(arrived.ok(), (arrived.ok() ? std::string() : arrived.error().sentence()));
  auto done = arrived.value().walk(held, [](const evidence::Entry&) { return Result<void>(); });
  REQUIRE(done.ok());
  return std::move(done).value();
}

std::string refusal(const std::string& file) {
  const auto arrived = Arrived::open(file);
  REQUIRE(!arrived.ok());
  return arrived.error().sentence();
}

std::string member(const std::string& file, std::string_view name) {
  static constexpr evidence::ArchiveSort any{[](std::string_view) { return true; }, "parcel.refused",
                                             "parcel.foreign-member"};
  const auto archive = evidence::Archive::open(file, any);
  REQUIRE(archive.ok());
  return archive.value().text(name, std::size_t{1} << 24).value();
}

// The same parcel with one member changed by `change`.
std::string altered(const std::string& file, const std::string& name, std::string_view which,
                    const std::function<std::string(std::string)>& change) {
  std::vector<evidence::Member> members;
  for (const std::string_view one : {about_member, growth_member, entries_member}) {
    std::string bytes = member(file, one);
    members.push_back(
        evidence::member_of(std::string(one), one == which ? change(std::move(bytes)) : std::move(bytes)));
  }
  for (auto& one : members) REQUIRE(evidence::measure(one).ok());
  const std::string out = folder_of(file) + "/" + name;
  REQUIRE(evidence::write_zip(out, members, Instant{0}).ok());
  return out;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = text.find('\n', at);
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

std::string with_lines(const std::string& text, const std::function<void(std::vector<std::string>&)>& change) {
  auto lines = lines_of(text);
  change(lines);
  std::string out;
  for (const auto& one : lines) out += one + "\n";
  return out;
}

// A parcel of the ward whose last entry is one that no program of a ledger makes: the members of `change` in place of
// its own, signed by the station, under a checkpoint that the ledger signed.
std::string forged(WardLedger& ward, const std::string& name, const std::function<void(json::Value&)>& change) {
  const auto* keys = ward.ledger().keys();
  REQUIRE(keys != nullptr);
  std::string lines;
  log::Frontier tree;
  json::Value event;
  REQUIRE(ward.ledger()
              .scan(1, ward.size(),
                    [&](const store::EntryView& entry) -> Result<void> {
                      lines += evidence::entry_line(entry);
                      tree.add(log::leaf_hash(entry.bytes));
                      event = json::parse(entry.bytes).value();
                      event.set("prev", hex(entry.hash)).set("seq", entry.seq + 1);
                      return {};
                    })
              .ok());
  event.set("key", hex(keys->station_key.public_key()));
  event.erase("signs");
  change(event);
  const std::string bytes = json::canonical(event);
  const Digest hash = log::leaf_hash(bytes);
  const auto signature = keys->station_key.sign(hash);
  tree.add(hash);
  const log::Head head{.size = tree.size(), .root = tree.root()};
  lines += json::plain(json::Value::object()
                           .set("entry", bytes)
                           .set("hash", hex(hash))
                           .set("key", *event.text_at("key"))
                           .set("sig", hex(signature))) +
           "\n";
  const std::string growth = log::to_text(
      log::ConsistencyProof{.older_size = 0,
                            .path = {},
                            .checkpoint = log::sign_note(log::checkpoint_text(ward.ledger().origin(), head),
                                                         ward.ledger().origin(), keys->ledger_key)});
  const std::string about = json::plain(json::Value::object()
                                            .set("format", format_name)
                                            .set("ledger", ward.ledger().ledger_id())
                                            .set("since", 0)
                                            .set("size", static_cast<std::int64_t>(head.size))
                                            .set("root", hex(head.root)));
  std::vector<evidence::Member> members;
  members.push_back(evidence::member_of(std::string(about_member), about));
  members.push_back(evidence::member_of(std::string(growth_member), growth));
  members.push_back(evidence::member_of(std::string(entries_member), lines));
  for (auto& one : members) REQUIRE(evidence::measure(one).ok());
  REQUIRE(evidence::write_zip(ward.folder().file(name), members, Instant{0}).ok());
  return ward.folder().file(name);
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("a parcel of the whole ledger holds and shows every entry once") {
  WardLedger ward;
  ward.take(three);
  const std::string file = sent(ward, "a.parcel");
  const auto arrived = Arrived::open(file);
  REQUIRE(arrived.ok());
  CHECK(arrived.value().about().ledger == ward.ledger().ledger_id());
  CHECK(arrived.value().about().since == 0);
  std::vector<std::int64_t> seqs;
  std::vector<std::string> bytes;
  const auto done = arrived.value().walk({}, [&](const evidence::Entry& entry) -> Result<void> {
    seqs.push_back(entry.seq);
    bytes.push_back(entry.bytes);
    return {};
  });
  REQUIRE(done.ok());
  CHECK(!done.value().wrong.has_value());
  CHECK(static_cast<std::int64_t>(seqs.size()) == ward.size());
  for (std::size_t i = 0; i < seqs.size(); ++i) {
    CHECK(seqs[i] == static_cast<std::int64_t>(i) + 1);
    CHECK(bytes[i] == ward.bytes_of(seqs[i]));
  }
  CHECK(done.value().ledger_key == hex(ward.ledger().ledger_key().key));
}

TEST_CASE("a parcel goes on from what is held and from nothing else") {
  WardLedger ward;
  ward.take(three);
  const std::int64_t held = ward.size();
  ward.take(one_more);
  const std::string file = sent(ward, "b.parcel", held);
  const auto whole = walked(file, before(ward, held));
  CHECK(!whole.wrong.has_value());
  CHECK(whole.entries == 1);
  // Of another past with the same number of entries.
  WardLedger other;
  other.take(three);
  const auto foreign = walked(file, before(other, held));
  REQUIRE(foreign.wrong.has_value());
  CHECK(foreign.wrong->seq == held + 1);
}

TEST_CASE("a parcel without new entries holds and has none") {
  WardLedger ward;
  ward.take(three);
  const auto whole = walked(sent(ward, "c.parcel", ward.size()), before(ward, ward.size()));
  CHECK(!whole.wrong.has_value());
  CHECK(whole.entries == 0);
}

TEST_CASE("the first entry that does not hold is named by its seq") {
  WardLedger ward;
  ward.take(three);
  const std::string file = sent(ward, "d.parcel");
  const auto wrong_seq = [&](const std::string& name, const std::function<void(std::vector<std::string>&)>& change) {
    const auto found =
        walked(altered(file, name, entries_member, [&](std::string text) { return with_lines(text, change); }), {});
    REQUIRE(found.wrong.has_value());
    MESSAGE(found.wrong->what);
    return found.wrong->seq;
  };
  const std::int64_t last = ward.size();
  CHECK(wrong_seq("byte", [](auto& lines) { lines[6] = replaced(lines[6], "PK-1", "PK-9"); }) == 7);
  CHECK(wrong_seq("dropped", [](auto& lines) { lines.erase(lines.begin() + 6); }) == 7);
  CHECK(wrong_seq("swapped", [](auto& lines) { std::swap(lines[5], lines[6]); }) == 6);
  CHECK(wrong_seq("doubled", [](auto& lines) { lines.insert(lines.begin() + 5, lines[5]); }) == 6);
  CHECK(wrong_seq("cut", [](auto& lines) { lines.pop_back(); }) == last - 2);  // the last signs for those before it
  CHECK(wrong_seq("unsigned", [](auto& lines) {
          const std::size_t at = lines.back().find("\"sig\":\"") + 7;
          lines.back().replace(at, 128, "");
        }) == last - 2);
  CHECK(wrong_seq("signature", [](auto& lines) {
          const std::size_t at = lines.back().find("\"sig\":\"") + 7;
          lines.back()[at] = lines.back()[at] == '0' ? '1' : '0';
        }) == last);
  CHECK(wrong_seq("no-entry", [](auto& lines) { lines[3] = "{}"; }) == 4);
}

TEST_CASE("an entry that cannot be kept is refused although it holds") {
  WardLedger ward;
  ward.take(three);
  const std::int64_t next = ward.size() + 1;
  CHECK(!walked(forged(ward, "as-it-is", [](json::Value&) {}), {}).wrong.has_value());
  const auto refused = [&](const std::string& name, const std::function<void(json::Value&)>& change) {
    const auto found = walked(forged(ward, name, change), {});
    REQUIRE(found.wrong.has_value());
    CHECK(found.wrong->seq == next);
    return found.wrong->what;
  };
  CHECK(holds(refused("never", [](json::Value& event) { event.erase("recorded"); }), "when it was recorded"));
  CHECK(holds(refused("some-day", [](json::Value& event) { event.set("recorded", "some day"); }),
              "when it was recorded"));
  const std::string zero("PK\0-9", 5);
  CHECK(holds(refused("zero", [&](json::Value& event) { event.set("pack", zero); }), "the character 0"));
  CHECK(holds(refused("deep",
                      [&](json::Value& event) {
                        event.set("far", json::Value::list().push(json::Value::object().set(zero, 1)));
                      }),
              "the character 0"));
  // The six characters that spell it are text like any other.
  CHECK(!walked(forged(ward, "spelt", [](json::Value& event) { event.set("pack", "\\u0000"); }), {}).wrong.has_value());
}

TEST_CASE("an entry without a signature is named as soon as none can come any more") {
  evidence::Problems problems;
  evidence::EntryWalk walk("entries", evidence::EntryWalk::Extent::whole, problems);
  // Two keys that sign nothing, entry after entry: the first that waits is named first.
  const std::string keys[] = {hex(crypto::SigningKey::from_seed(Digest{1}).public_key()),
                              hex(crypto::SigningKey::from_seed(Digest{2}).public_key())};
  for (std::int64_t seq = 2; seq < 4; ++seq) {
    walk.know(seq, json::Value::object()
                       .set("kind", "key-added")
                       .set("public", keys[seq - 2])
                       .set("owner", "station-1")
                       .set("sort", "station"));
  }
  const std::size_t unproved = problems.count();
  Digest last{};
  walk.goes_on(3, last);
  std::int64_t seq = 3;
  while (problems.count() == unproved) {
    ++seq;
    REQUIRE(seq < limits::signed_events_max + 10);
    const std::string& key = keys[seq % 2];
    const std::string bytes = json::canonical(json::Value::object()
                                                  .set("v", 1)
                                                  .set("seq", seq)
                                                  .set("prev", hex(last))
                                                  .set("key", key)
                                                  .set("kind", "set-stopped"));
    last = log::leaf_hash(bytes);
    walk.take(
        json::plain(json::Value::object().set("entry", bytes).set("hash", hex(last)).set("key", key).set("sig", "")));
  }
  REQUIRE(problems.count() == unproved + 1);
  CHECK(problems.kept().back().seq == 4);
  CHECK(holds(problems.kept().back().what, "no signature covers"));
  CHECK(seq == 4 + limits::signed_events_max + 1);
  walk.finish();
  CHECK(problems.kept()[unproved + 2].seq == 5);  // behind what it says of the first entry
}

TEST_CASE("a checkpoint that another key signed or that tells another root is refused") {
  WardLedger ward;
  ward.take(three);
  const std::string file = sent(ward, "e.parcel");
  const auto key = crypto::SigningKey::from_seed(Digest{7});
  const auto head = ward.ledger().tree_head().value();
  const auto by = [&](const log::Head& told) {
    return log::to_text(log::ConsistencyProof{
        .older_size = 0,
        .path = {},
        .checkpoint = log::sign_note(log::checkpoint_text(ward.ledger().origin(), told), ward.ledger().origin(), key)});
  };
  const auto found = walked(altered(file, "key", growth_member, [&](const std::string&) { return by(head); }), {});
  REQUIRE(found.wrong.has_value());
  CHECK(holds(found.wrong->what, "signed the checkpoint"));
  // The ledger's own key under a root that its entries do not have.
  log::Head lie = head;
  lie.root[0] ^= 1;
  const std::string signed_lie = log::sign_note(log::checkpoint_text(ward.ledger().origin(), lie),
                                                ward.ledger().origin(), ward.ledger().keys()->ledger_key);
  std::string lying = altered(file, "lie-1", growth_member, [&](const std::string&) {
    return log::to_text(log::ConsistencyProof{.older_size = 0, .path = {}, .checkpoint = signed_lie});
  });
  lying = altered(lying, "lie-2", about_member,
                  [&](std::string about) { return replaced(std::move(about), hex(head.root), hex(lie.root)); });
  const auto told = walked(lying, {});
  REQUIRE(told.wrong.has_value());
  CHECK(!told.wrong->seq.has_value());
}

TEST_CASE("what is no parcel is refused as a whole") {
  WardLedger ward;
  ward.take(three);
  const std::string file = sent(ward, "f.parcel");
  const std::string bytes = tests::file_bytes(file);
  for (std::size_t kept = 0; kept < bytes.size(); kept += 97) {
    const std::string half = ward.folder().file("half");
    std::ofstream(half, std::ios::binary | std::ios::trunc) << bytes.substr(0, kept);
    CHECK(holds(refusal(half), "this is no parcel"));
  }
  CHECK(holds(refusal(altered(file, "format", about_member,
                              [](std::string about) { return replaced(std::move(about), "parcel/1", "parcel/2"); })),
              "format"));
  CHECK(holds(
      refusal(altered(file, "since", about_member,
                      [](std::string about) { return replaced(std::move(about), "\"since\": 0", "\"since\": 3"); })),
      "another state"));
  CHECK(holds(refusal(altered(file, "growth", growth_member, [](const std::string&) { return std::string("x"); })),
              "growth.txt"));
}

TEST_CASE("no flipped byte of a parcel is taken for the parcel that was sent") {
  WardLedger ward;
  ward.take(three);
  const std::string file = sent(ward, "g.parcel");
  const std::string bytes = tests::file_bytes(file);
  const std::string flipped = ward.folder().file("flipped");
  std::size_t held = 0;
  for (std::size_t at = 0; at < bytes.size(); at += 7) {
    std::string other = bytes;
    other[at] = static_cast<char>(other[at] ^ 0x10);
    std::ofstream(flipped, std::ios::binary | std::ios::trunc) << other;
    const auto arrived = Arrived::open(flipped);
    if (!arrived.ok()) continue;
    std::int64_t seq = 0;
    const auto done = arrived.value().walk({}, [&](const evidence::Entry& entry) -> Result<void> {
      CHECK(entry.bytes == ward.bytes_of(++seq));  // whatever is shown is what stands in the ledger
      return {};
    });
    REQUIRE(done.ok());
    if (done.value().wrong) continue;
    ++held;
    CHECK(arrived.value().about().checkpoint.starts_with(ward.ledger().origin()));
  }
  MESSAGE(held << " flips in what is covered by nothing: times and flags of the zip");
}

TEST_CASE("nothing that stands beside the chain travels") {
  WardLedger ward;
  ward.take(three);
  ward.take(
      R"({"kind":"procedure-done","at":"2026-10-05T09:00+05:00","by":"ana","procedure":"D-1","sort":"delivery","place":"Room 1","patient":"MRN-7731","packs":["PK-1"],"note":"slow to open"}
)");
  const std::string file = sent(ward, "h.parcel");
  for (const std::string_view one : {about_member, growth_member, entries_member}) {
    const std::string text = member(file, one);
    CHECK(!holds(text, "MRN-7731"));
    CHECK(!holds(text, "slow to open"));
  }
}

TEST_CASE("what the register co-signed tells from where to send next") {
  WardLedger ward;
  ward.take(three);
  const auto note = ward.ledger().sign_checkpoint();
  REQUIRE(note.ok());
  CHECK(co_signed_size(ward.ledger(), {}).value() == 0);
  const auto key = crypto::SigningKey::from_seed(Digest{9});
  const std::string text = log::parse_note(note.value()).value().text;
  REQUIRE(
      take_witness(ward.ledger(), note.value() + log::cosign(text, "district.example/register", key, 1'790'000'000), {})
          .ok());
  const std::int64_t held = ward.size();
  ward.take(one_more);
  CHECK(co_signed_size(ward.ledger(), {}).value() == held);
  const log::VerifierKey mine{"district.example/register", key.public_key(), log::KeySort::cosignature};
  CHECK(co_signed_size(ward.ledger(), {mine}).value() == held);
  const log::VerifierKey other{"elsewhere.example/witness", key.public_key(), log::KeySort::cosignature};
  CHECK(co_signed_size(ward.ledger(), {other}).value() == 0);
  CHECK(co_signed_size(ward.ledger(), {mine, other}).value() == 0);
}

TEST_CASE("of several witnesses the one that holds least tells from where to send next") {
  WardLedger ward;
  ward.take(three);
  const auto answered = [&](const std::string& name, std::uint8_t seed) {
    const auto key = crypto::SigningKey::from_seed(Digest{seed});
    const auto note = ward.ledger().sign_checkpoint();
    REQUIRE(note.ok());
    const std::string text = log::parse_note(note.value()).value().text;
    REQUIRE(take_witness(ward.ledger(), note.value() + log::cosign(text, name, key, 1'790'000'000), {}).ok());
    return log::VerifierKey{name, key.public_key(), log::KeySort::cosignature};
  };
  const auto ward_one = answered("one.example/register", 9);
  const std::int64_t first = ward.size();
  ward.take(one_more);
  const auto ward_two = answered("two.example/register", 10);
  const std::int64_t second = ward.size();
  CHECK(first < second);
  CHECK(co_signed_size(ward.ledger(), {}).value() == first);
  CHECK(co_signed_size(ward.ledger(), {ward_two}).value() == second);
  CHECK(co_signed_size(ward.ledger(), {ward_one, ward_two}).value() == first);
  answered("one.example/register", 9);
  CHECK(co_signed_size(ward.ledger(), {}).value() == second);
}
