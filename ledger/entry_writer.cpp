#include "ledger/entry_writer.h"

#include <algorithm>

#include "ledger/words/language.h"

namespace trayproof {
namespace {

constexpr std::size_t chunk_entries = 32;
constexpr std::size_t chunks_ahead = 32;  // so that who writes is not kept from the processor by who reads

}  // namespace

EntryWriter::EntryWriter(store::LedgerFile& file, const people::KeyFile& keys, EntryMaker maker, Thread thread)
    : file_(file), keys_(keys), maker_(std::move(maker)), threaded_(thread == Thread::own) {
  if (threaded_) thread_ = std::thread(handed_over([this] { run(); }));
}

EntryWriter::~EntryWriter() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock(mutex_);
    waiting_.clear();  // the transaction will be rolled back
    ended_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

Result<void> EntryWriter::insert(const MadeEntry& entry, const Prepared& prepared) {
  TRY(file_.insert({.seq = entry.seq, .bytes = entry.bytes, .hash = entry.hash, .sig = entry.sig},
                   {.slip = prepared.slip, .content = prepared.content}));
  if (events::is_landmark(prepared.kind->name)) TRY(file_.put_landmark(prepared.kind->name, entry.seq));
  return {};
}

void EntryWriter::run() {
  while (true) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (waiting_.empty()) return;
    const std::vector<Ready> chunk = std::move(waiting_.front());
    waiting_.pop_front();
    const bool sound = outcome_.ok();
    busy_ = true;
    lock.unlock();
    changed_.notify_all();
    Result<void> inserted;
    for (const Ready& ready : chunk) {
      if (!sound || !inserted.ok()) break;  // the transaction is lost; the rest is only taken off its maker's hands
      inserted = insert(ready.entry, *ready.prepared);
    }
    lock.lock();
    busy_ = false;
    if (!inserted.ok()) outcome_ = std::move(inserted);
    lock.unlock();
    changed_.notify_all();
  }
}

void EntryWriter::hand_over() {
  {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return waiting_.size() < chunks_ahead; });
    waiting_.push_back(std::move(filling_));
  }
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

Result<void> EntryWriter::put(const Prepared& prepared, const Signing& signing) {
  for (const FreshPatient& fresh : prepared.fresh) patients_.push_back(seal_patient(fresh, keys_));
  for (const store::KeptText& text : prepared.texts) texts_.push_back(&text);
  const MadeEntry& entry = maker_.make(prepared, signing);
  if (!threaded_) return insert(entry, prepared);
  filling_.push_back({entry, &prepared});
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
