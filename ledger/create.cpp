// Making a ledger: it is built beside its final name and appears whole, its key file first.
#include <unistd.h>

#include <cstdio>

#include "ledger/base/drive.h"
#include "ledger/base/files.h"
#include "ledger/base/zone.h"
#include "ledger/batch.h"
#include "ledger/crypto/random.h"
#include "ledger/ledger.h"
#include "ledger/people/key_proof.h"
#include "ledger/version.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

std::vector<GivenEvent> first_events(const Creation& creation, const people::KeyFile& keys, const DateTime& now) {
  const std::string origin = "trayproof/" + keys.ledger;
  const auto event = [&](std::string_view kind) {
    Value value = Value::object();
    value.set("kind", kind).set("at", format_date_time(now)).set("by", keys.station);
    return value;
  };
  const auto key_added = [&](const std::string& owner, std::string_view sort, const crypto::SigningKey& key) {
    Value value = event("key-added");
    const std::string public_key = hex(key.public_key());
    value.set("public", public_key).set("owner", owner).set("sort", sort);
    value.set("proof", people::prove({keys.ledger, owner, sort, public_key}, key));
    return value;
  };
  Value opened = event("ledger-opened");
  opened.set("format", 1).set("ledger", keys.ledger).set("origin", origin);
  opened.set("ledger_key", hex(keys.ledger_key.public_key())).set("program", program_name());
  if (creation.continues) {
    const Continued& old = *creation.continues;
    opened.set("continues",
               Value::object().set("origin", old.origin).set("size", old.head.size).set("root", hex(old.head.root)));
  }
  Value facility = event("facility-described");
  facility.set("title", creation.title).set("zone", creation.zone);
  if (creation.altitude_m) {
    facility.set("altitude_m", *creation.altitude_m);
  } else {
    facility.set("unknown", Value::object().set("altitude_m", "not-recorded"));
  }
  Value adopted = event("sop-adopted");
  const auto sop = sop::read(creation.sop_toml);
  adopted.set("title", sop.ok() ? sop.value().title : std::string());
  adopted.set("toml", creation.sop_toml).set("in_force", format_date_time(now));
  std::vector<GivenEvent> events;
  events.push_back({0, std::move(opened)});
  events.push_back({0, key_added(keys.station, "station", keys.station_key)});
  events.push_back({0, key_added(origin, "ledger", keys.ledger_key)});
  events.push_back({0, std::move(facility)});
  events.push_back({0, std::move(adopted)});
  return events;
}

// Removes the half-built file unless it got its name.
class Scaffold {
 public:
  explicit Scaffold(std::string path) : path_(std::move(path)) {}
  Scaffold(const Scaffold&) = delete;
  Scaffold& operator=(const Scaffold&) = delete;
  ~Scaffold() {
    ::unlink(path_.c_str());
    ::unlink((path_ + "-journal").c_str());
  }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

Result<void> build(const std::string& path, const Creation& creation, const people::KeyFile& keys, Clock& clock,
                   const Zone& zone) {
  TRY_LET(auto file, store::LedgerFile::create(path));
  TRY_LET(auto transaction, file.begin());
  KnownPatients patients(file, keys);
  const Writer writer{.file = file,
                      .keys = keys,
                      .clock = clock,
                      .station = keys.station,
                      .patients = patients,
                      .clock_minutes = 5,
                      .expected_clock = std::nullopt};
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  TRY_LET(auto batch, Batch::begin(writer, options));
  for (GivenEvent& one : first_events(creation, keys, zone.local(clock.now()))) {
    TRY(batch.add_given(std::move(one)));
  }
  TRY_LET(const auto report, batch.finish());
  if (!report.refusals.empty()) {
    const events::Refusal& first = report.refusals.front();
    return Error(ErrorCode::invalid, say("ledger.create-field", {{"field", first.field}, {"why", first.why}}));
  }
  return transaction.commit();
}

}  // namespace

Result<Ledger> Ledger::create(const std::string& path, const Creation& creation, Clock& clock, Drives drives) {
  const std::string keys_path = people::key_path(path);
  if (file_exists(path)) return Error(ErrorCode::conflict, say("ledger.exists", {{"path", path}}));
  if (file_exists(keys_path)) return Error(ErrorCode::conflict, say("ledger.keys-exist", {{"path", keys_path}}));
  if (const auto network = network_drive(path); network && drives == Drives::own) {
    return Error(ErrorCode::denied, say("ledger.network", {{"path", path}, {"drive", *network}}));
  }
  auto zone = Zone::find(creation.zone);
  if (!zone.ok()) {
    const std::string why =
        say("refused.value", {{"found", "\"" + creation.zone + "\""}, {"allowed", say("allowed.zone")}});
    return Error(ErrorCode::invalid, say("ledger.create-field", {{"field", "zone"}, {"why", why}}));
  }
  const auto keys = people::KeyFile::make(hex(crypto::random_bytes<16>()), creation.station);
  const Scaffold scaffold(path + ".new-" + hex(crypto::random_bytes<4>()));
  TRY(build(scaffold.path(), creation, keys, clock, zone.value()));
  TRY(keys.write(keys_path));
  auto named = rename_new(scaffold.path(), path);
  if (!named.ok()) {
    ::unlink(keys_path.c_str());
    return std::move(named).error();
  }
  return open(path, clock, store::Access::write, drives);
}

}  // namespace trayproof
