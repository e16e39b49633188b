#include "tests/reference/real_ledger.h"

#include <filesystem>
#include <utility>

#include "ledger/base/check.h"

namespace trayproof::reference {

Folder::Folder() {
  std::string pattern = (std::filesystem::temp_directory_path() / "trayproof-reference-XXXXXX").string();
  const char* made = ::mkdtemp(pattern.data());
  CHECK(made != nullptr);
  path_ = pattern;
}

Folder::~Folder() {
  std::error_code ignored;  // A folder that cannot be removed is the machine's to clean up.
  std::filesystem::remove_all(path_, ignored);
}

Result<Ledger> ledger_of(const World& world, const std::string& path, SetClock& clock) {
  clock.set(world.opened);
  Creation creation;
  creation.title = "Invented facility";
  creation.zone = world.zone;
  creation.altitude_m = 100;
  creation.sop_toml = world.sop_toml;
  TRY_LET(auto ledger, Ledger::create(path, creation, clock));
  TRY_LET(const auto head, ledger.head());
  if (head.seq + 1 != world.first_seq) return Error{ErrorCode::conflict, "the first line has another seq"};
  clock.set(world.now);
  std::vector<GivenEvent> given;
  for (const json::Value& event : world.events) given.push_back({static_cast<std::int64_t>(given.size()) + 1, event});
  AppendOptions options;
  options.giver = events::Giver::program;
  TRY_LET(const auto appended, ledger.append(std::move(given), options));
  if (!appended.refusals.empty()) {
    const events::Refusal& first = appended.refusals.front();
    return Error{ErrorCode::invalid, "line " + std::to_string(first.line) + ", " + first.field + ": " + first.why};
  }
  if (appended.first != world.first_seq) return Error{ErrorCode::conflict, "the first line got another seq"};
  if (appended.taken != static_cast<std::int64_t>(world.events.size())) {
    return Error{ErrorCode::invalid, "a line was taken for a repeat"};
  }
  return ledger;
}

Result<std::vector<Entry>> entries_in(const Ledger& ledger) {
  TRY_LET(const auto head, ledger.head());
  std::vector<Entry> entries;
  const auto read = [&](const store::EntryView& view) -> Result<void> {
    TRY_LET(auto event, json::parse(view.bytes));
    entries.push_back({view.seq, std::move(event)});
    return {};
  };
  TRY(ledger.scan(1, head.seq, read));
  return entries;
}

}  // namespace trayproof::reference
