#include "ledger/entry_writer.h"

namespace trayproof {
namespace {

constexpr std::size_t many_entries = 2000;  // fewer are written where they are made
constexpr std::size_t chunk_entries = 128;
constexpr std::size_t chunks_ahead = 32;

}  // namespace

EntryWriter::EntryWriter(store::LedgerFile& file, std::size_t entries) : file_(file), threaded_(entries >= many_entries) {
  if (threaded_) thread_ = std::thread([this] { run(); });
}

EntryWriter::~EntryWriter() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

Result<void> EntryWriter::insert(const WrittenEntry& entry) {
  TRY(file_.insert({.seq = entry.seq, .bytes = entry.bytes, .hash = entry.hash, .sig = entry.sig},
                   {.slip = *entry.slip, .content = entry.content}));
  for (const store::KeptPatient& patient : entry.patients) TRY(file_.put_patient(patient));
  for (const store::KeptText& text : *entry.texts) TRY(file_.put_text(text));
  if (entry.of) TRY(file_.put_correction(entry.seq, *entry.of));
  if (!entry.landmark.empty()) TRY(file_.put_landmark(entry.landmark, entry.seq));
  return {};
}

void EntryWriter::run() {
  while (true) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (waiting_.empty()) return;
    const std::vector<WrittenEntry> chunk = std::move(waiting_.front());
    waiting_.pop_front();
    const bool sound = outcome_.ok();
    lock.unlock();
    changed_.notify_all();
    if (!sound) continue;  // the transaction is lost; what comes after it is only taken off the hands of its maker
    for (const WrittenEntry& entry : chunk) {
      auto inserted = insert(entry);
      if (inserted.ok()) continue;
      const std::lock_guard again(mutex_);
      outcome_ = std::move(inserted);
      break;
    }
  }
}

void EntryWriter::hand_over() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return waiting_.size() < chunks_ahead; });
  waiting_.push_back(std::move(filling_));
  lock.unlock();
  changed_.notify_all();
  filling_.clear();
  filling_.reserve(chunk_entries);
}

Result<void> EntryWriter::put(WrittenEntry entry) {
  if (!threaded_) return insert(entry);
  filling_.push_back(std::move(entry));
  if (filling_.size() < chunk_entries) return {};
  hand_over();
  const std::lock_guard lock(mutex_);
  return outcome_;
}

Result<void> EntryWriter::finish() {
  if (!threaded_) return {};
  if (!filling_.empty()) hand_over();
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  changed_.notify_all();
  thread_.join();
  return outcome_;
}

}  // namespace trayproof
