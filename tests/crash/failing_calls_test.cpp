// The disk refuses the first call, the second, the third … until a step comes through: the program never dies, tells
// rightly whether what was asked for is in the ledger, says so when it cannot know, and goes on afterwards.
#include <atomic>
#include <cerrno>
#include <memory>
#include <optional>
#include <unordered_map>

#include "tests/crash/opened_again.h"
#include "tests/crash/recording.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

enum class How {
  once,           // one call fails with EIO
  although_made,  // it did what it was asked for, and fails all the same
  sync_once,      // one sync fails with EIO
  full,           // one call that needs room fails with ENOSPC
  from_now_on,    // that call and all after it: the disk is gone
};

bool needs_room(CallSort sort) {
  return sort == CallSort::create || sort == CallSort::write || sort == CallSort::rename || sort == CallSort::sync;
}
bool is_sync(CallSort sort) { return sort == CallSort::sync || sort == CallSort::sync_folder; }
bool changes(CallSort sort) {
  return sort != CallSort::open && sort != CallSort::read && sort != CallSort::lock && sort != CallSort::create;
}

// Lets the nth call fail that touches the folder.
class Failing final : public Watcher {
 public:
  Failing(std::string folder, How how, std::int64_t nth, Recording* recording = nullptr)
      : folder_(std::move(folder)), how_(how), nth_(nth), recording_(recording) {}

  Verdict before(const Call& call) override {
    if (!counts(call)) return {};
    const std::int64_t seen = ++seen_;
    const bool now = how_ == How::from_now_on ? seen >= nth_ : seen == nth_;
    if (!now) return {};
    failed_ = call.sort;
    if (recording_ != nullptr && is_sync(call.sort)) recording_->note_failed_sync(call);
    return {.error = how_ == How::full ? ENOSPC : EIO, .made_all_the_same = how_ == How::although_made};
  }
  void after(const Call& call) override {
    if (recording_ != nullptr) recording_->after(call);
  }

  // The call that failed, if the step came so far.
  std::optional<CallSort> failed() const { return failed_; }

 private:
  bool counts(const Call& call) const {
    if (how_ == How::full && !needs_room(call.sort)) return false;
    if (how_ == How::although_made && !changes(call.sort)) return false;
    if (how_ == How::sync_once && !is_sync(call.sort)) return false;
    if (call.path != nullptr) return std::string_view(call.path).starts_with(folder_);
    char path[4096];
    return path_of(call.fd, path, sizeof path) && std::string_view(path).starts_with(folder_);
  }

  std::string folder_;
  How how_;
  std::int64_t nth_;
  Recording* recording_;
  std::atomic<std::int64_t> seen_ = 0;  // files are closed on other threads too
  std::optional<CallSort> failed_;
};

// The ledger as it stood before each step of the morning.
struct Stage {
  const Step* step;
  Files files;
  Standing before;
  Standing after;
};

std::vector<Stage> stages(const MemoryFolder& folder) {
  SetClock clock(noon());
  std::vector<Stage> all;
  auto ledger = Ledger::create(folder.file("ward"), creation(), clock);
  REQUIRE(ledger.ok());
  for (const Step& step : morning()) {
    Stage stage{
        .step = &step, .files = files_in(folder.path()), .before = standing_of(ledger.value()).value(), .after = {}};
    REQUIRE(step.act(ledger.value(), clock).ok());
    stage.after = standing_of(ledger.value()).value();
    all.push_back(std::move(stage));
  }
  return all;
}

// Random salts make another hash of the same events.
bool same_counts(Standing a, Standing b) {
  a.head = b.head = {};
  return a == b;
}

std::string one_line() {
  return R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":"after"},)"
         R"("text":"y"})";
}

struct Tally {
  std::int64_t failed = 0;
  std::int64_t told_not_taken = 0;
  std::int64_t told_uncertain = 0;
  std::int64_t taken = 0;  // SQLite or the program went on without that call
};

// What the ledger turned out to hold, looked at once for the same bytes.
class Looked {
 public:
  explicit Looked(const MemoryFolder& folder) : folder_(folder) {}
  Standing at() {
    const std::size_t print = print_of(files_in(folder_.path()));
    if (const auto found = seen_.find(print); found != seen_.end()) return found->second;
    SetClock clock(noon());
    auto ledger = Ledger::open(folder_.file("ward"), clock);
    REQUIRE_MESSAGE(ledger.ok(), (ledger.ok() ? "" : ledger.error().sentence()));
    const Standing standing = standing_of(ledger.value()).value();
    CHECK_EQ(fault_of(ledger.value()), "");
    if (seen_.size() % 8 == 0) CHECK_EQ(fault_of_tables(ledger.value()), "");
    return seen_.emplace(print, standing).first->second;
  }

 private:
  const MemoryFolder& folder_;
  std::unordered_map<std::size_t, Standing> seen_;
};

class Trial {
 public:
  Trial(const MemoryFolder& folder, How how, Tally& tally)
      : folder_(folder), how_(how), tally_(tally), looked_(folder) {}

  // False when the step needed fewer calls.
  bool run(const Stage& stage, std::int64_t nth) {
    put_files(folder_.path(), stage.files);
    INFO(stage.step->name, ", call ", nth, ", how ", static_cast<int>(how_));
    Failing failing(folder_.path(), how_, nth);
    SetClock clock(noon());
    std::optional<Error> error;
    bool went_on = false;
    bool opened = false;
    std::optional<Error> next_error;
    {
      const Watching watching(failing);
      auto ledger = Ledger::open(folder_.file("ward"), clock);
      if (!ledger.ok()) {
        error = ledger.error();
        // That the disk does not answer says nothing of the record, except where SQLite takes the one for the other.
        if (failing.failed() == CallSort::read) {
          CHECK((error->code() == ErrorCode::unavailable || error->code() == ErrorCode::corrupt));
        } else {
          CHECK(error->code() == ErrorCode::unavailable);
        }
      } else {
        // Without leave to write SQLite opens for reading, and the ledger says so.
        opened = ledger.value().writable();
        if (auto done = stage.step->act(ledger.value(), clock); !done.ok()) error = std::move(done).error();
        const bool unknown = error && error->code() == ErrorCode::uncertain;
        if (unknown) CHECK(!ledger.value().writable());
        clock.set(noon());  // a step may have moved it
        const auto next = ledger.value().append_lines(one_line(), {});
        went_on = next.ok();
        if (!next.ok()) next_error = next.error();
        if (unknown && next_error) CHECK(next_error->code() == ErrorCode::uncertain);
        if (unknown) CHECK(!went_on);
      }
    }
    if (!failing.failed()) return false;
    INFO("failed a call of sort ", static_cast<int>(*failing.failed()), "; told: ", error ? error->sentence() : "done",
         "; next: ", next_error ? next_error->sentence() : "done");
    ++tally_.failed;
    ++(!error ? tally_.taken : error->code() == ErrorCode::uncertain ? tally_.told_uncertain : tally_.told_not_taken);
    judge(stage, opened, error, went_on, next_error);
    return true;
  }

 private:
  void judge(const Stage& stage, bool opened, const std::optional<Error>& error, bool went_on,
             const std::optional<Error>& next_error) {
    const Standing found = looked_.at();
    const auto with_one_more = [](Standing standing) {
      ++standing.events;
      ++standing.texts;
      return standing;
    };
    const bool unknown = error && error->code() == ErrorCode::uncertain;
    std::vector<Standing> allowed;
    if (!error || unknown) allowed.push_back(stage.after);
    if (error) allowed.push_back(stage.before);
    const bool next_unknown = next_error && next_error->code() == ErrorCode::uncertain && !unknown;
    if (went_on) {
      for (Standing& one : allowed) one = with_one_more(one);
    } else if (next_unknown) {
      for (std::size_t i = 0, count = allowed.size(); i < count; ++i) allowed.push_back(with_one_more(allowed[i]));
    }
    bool fits = false;
    for (const Standing& one : allowed) fits = fits || same_counts(one, found);
    CHECK_MESSAGE(fits, "found ", told(found), "; allowed ", told(allowed.front()));
    // One failed call is no reason to refuse the next event, unless the outcome is unknown.
    if (how_ != How::from_now_on && opened && !unknown && error)
      CHECK_MESSAGE(went_on, (next_error ? next_error->sentence() : ""));
  }

  const MemoryFolder& folder_;
  How how_;
  Tally& tally_;
  Looked looked_;
};

// One sync fails, and what it should have brought to the disk stays behind. The program goes on, opens again where it
// must, and then the power goes.
std::size_t try_every_failing_sync() {
  const MemoryFolder folder;
  const MemoryFolder left;
  const std::vector<Stage> all = stages(folder);
  std::mt19937_64 dice(dice_seed());
  TablesSeen tables_seen;
  std::size_t images = 0;
  for (const Stage& stage : all) {
    bool further = true;
    for (std::int64_t nth = 1; further; ++nth) {
      INFO(stage.step->name, ", sync ", nth);
      put_files(folder.path(), stage.files);
      Recording recording(folder.path());
      Failing failing(folder.path(), How::sync_once, nth, &recording);
      Standing acknowledged;
      {
        const Watching watching(failing);
        SetClock clock(noon());
        auto first = Ledger::open(folder.file("ward"), clock);
        Ledger ledger = first.ok() ? std::move(first).value() : opened(folder.file("ward"), clock);
        const auto done = stage.step->act(ledger, clock);
        clock.set(noon());
        if (!done.ok() && done.error().code() == ErrorCode::uncertain) ledger = opened(folder.file("ward"), clock);
        const auto next = ledger.append_lines(one_line(), {});
        if (!next.ok() && next.error().code() == ErrorCode::uncertain) ledger = opened(folder.file("ward"), clock);
        // What a reader is told now must survive as well, whatever came of the two.
        acknowledged = standing_of(ledger).value();
      }
      further = failing.failed().has_value();
      if (!further) break;
      Disk disk(recording.recorded());
      for (const DiskStep& step : recording.steps()) disk.advance(step);
      for (const Unsynced unsynced : {Unsynced::kept, Unsynced::dropped, Unsynced::torn, Unsynced::torn_and_rubbish}) {
        put_files(left.path(), disk.after_power_cut(unsynced, dice));
        const Fault fault =
            fault_in(left.file("ward"), acknowledged, acknowledged, {.tables = &tables_seen, .append = false});
        CHECK_MESSAGE(fault.what.empty(), fault.what, " (treatment ", static_cast<int>(unsynced), ")");
        ++images;
      }
    }
  }
  return images;
}

Tally try_every_call(How how, std::int64_t stride) {
  const MemoryFolder folder;
  const std::vector<Stage> all = stages(folder);
  Tally tally;
  Trial trial(folder, how, tally);
  for (const Stage& stage : all) {
    for (std::int64_t nth = 1; trial.run(stage, nth); nth += stride) {
    }
  }
  return tally;
}

std::string sentence(const Tally& tally) {
  return std::to_string(tally.failed) + " calls failed: " + std::to_string(tally.told_not_taken) + " told not taken, " +
         std::to_string(tally.told_uncertain) + " told uncertain, " + std::to_string(tally.taken) +
         " taken all the same";
}

}  // namespace

TEST_CASE("each call in turn fails and what the program tells of it is true") {
  const Tally tally = try_every_call(How::once, 1);
  MESSAGE(sentence(tally));
  CHECK(tally.failed > 500);
  CHECK(tally.told_uncertain > 0);
}

TEST_CASE("each call in turn does its work and fails all the same and what the program tells of it is true") {
  const Tally tally = try_every_call(How::although_made, 1);
  MESSAGE(sentence(tally));
  CHECK(tally.told_uncertain > 0);
}

TEST_CASE("the disk is full at each call in turn and the next event is taken when there is room") {
  const Tally tally = try_every_call(How::full, 1);
  MESSAGE(sentence(tally));
  CHECK(tally.told_not_taken > 0);
}

TEST_CASE("the disk goes away at any call and nothing acknowledged is lost") {
  const Tally tally = try_every_call(How::from_now_on, 3);
  MESSAGE(sentence(tally));
  CHECK(tally.told_not_taken > 0);
}

TEST_CASE("each sync in turn fails and a power cut afterwards takes nothing that was acknowledged") {
  const std::size_t images = try_every_failing_sync();
  MESSAGE(images, " images");
  CHECK(images > 100);
}
