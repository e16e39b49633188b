#include "ledger/entry_writer.h"

#include <algorithm>

namespace trayproof {
namespace {

constexpr std::size_t chunk_entries = 128;
constexpr std::size_t chunks_ahead = 32;

}  // namespace

EntryWriter::EntryWriter(store::LedgerFile& file, Thread thread) : file_(file), threaded_(thread == Thread::own) {
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
    busy_ = true;
    lock.unlock();
    changed_.notify_all();
    Result<void> inserted;
    for (const WrittenEntry& entry : chunk) {
      if (!sound || !inserted.ok())
        break;  // the transaction is lost; the rest is only taken off the hands of its maker
      inserted = insert(entry);
    }
    lock.lock();
    busy_ = false;
    if (!inserted.ok()) outcome_ = std::move(inserted);
    lock.unlock();
    changed_.notify_all();
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

void EntryWriter::drain() {
  if (!threaded_) return;
  if (!filling_.empty()) hand_over();
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return waiting_.empty() && !busy_; });
}

Result<void> EntryWriter::put(WrittenEntry entry) {
  for (store::KeptPatient& patient : entry.patients) patients_.push_back(std::move(patient));
  for (const store::KeptText& text : *entry.texts) texts_.push_back(&text);
  if (!threaded_) return insert(entry);
  filling_.push_back(std::move(entry));
  if (filling_.size() < chunk_entries) return {};
  hand_over();
  const std::lock_guard lock(mutex_);
  return outcome_;
}

Result<void> EntryWriter::finish() {
  if (threaded_) {
    drain();
    {
      const std::lock_guard lock(mutex_);
      ended_ = true;
    }
    changed_.notify_all();
    thread_.join();
  }
  if (!outcome_.ok()) return outcome_;
  std::sort(texts_.begin(), texts_.end(), [](const auto* a, const auto* b) { return a->stand_in < b->stand_in; });
  for (const store::KeptText* text : texts_) TRY(file_.put_text(*text));
  std::sort(patients_.begin(), patients_.end(), [](const auto& a, const auto& b) { return a.pseudonym < b.pseudonym; });
  for (const store::KeptPatient& patient : patients_) TRY(file_.put_patient(patient));
  return {};
}

}  // namespace trayproof
