#include "tests/crash/disk.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace trayproof::tests {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t sector = 512;

void fill_to(std::string& bytes, std::size_t size, std::mt19937_64* rubbish) {
  while (bytes.size() < size) bytes.push_back(rubbish == nullptr ? '\0' : static_cast<char>((*rubbish)() & 0xFF));
}

}  // namespace

Files files_in(const std::string& folder) {
  Files files;
  for (const auto& one : fs::directory_iterator(folder)) {
    if (!one.is_regular_file()) continue;
    std::ostringstream bytes;
    bytes << std::ifstream(one.path(), std::ios::binary).rdbuf();
    files[one.path().filename().string()] = bytes.str();
  }
  return files;
}

void put_files(const std::string& folder, const Files& files) {
  for (const auto& one : fs::directory_iterator(folder)) fs::remove_all(one.path());
  for (const auto& [name, bytes] : files) {
    const fs::path path = fs::path(folder) / name;
    std::ofstream(path, std::ios::binary) << bytes;
    fs::permissions(path, fs::perms::owner_read | fs::perms::owner_write);  // as a key file must be
  }
}

Disk::Disk(const Recorded& recorded) {
  int number = 0;  // as the recording numbers them
  for (const auto& [name, bytes] : recorded.start) {
    names_[name] = number;
    files_[number++].durable = bytes;
  }
}

void Disk::sync(File& file) {
  std::vector<Change> left;
  for (Change& change : file.pending) {
    if (change.lost) {
      left.push_back(std::move(change));
      continue;
    }
    // What is durable now covers what was lost before it.
    std::erase_if(left, [&](const Change& lost) {
      if (lost.truncates) return true;
      if (change.truncates) return lost.offset >= change.offset;
      return lost.offset / static_cast<std::int64_t>(sector) == change.offset / static_cast<std::int64_t>(sector);
    });
    const auto offset = static_cast<std::size_t>(change.offset);
    if (change.truncates) {
      file.durable.resize(offset);
    } else {
      fill_to(file.durable, offset + change.bytes.size(), nullptr);
      file.durable.replace(offset, change.bytes.size(), change.bytes);
    }
  }
  file.pending = std::move(left);
}

void Disk::advance(const DiskStep& step) {
  switch (step.sort) {
    case CallSort::create:
      pending_names_.push_back({.gone = {}, .come = step.name, .file = step.file});
      break;
    case CallSort::remove:
      pending_names_.push_back({.gone = step.name, .come = {}, .file = step.file});
      break;
    case CallSort::rename:
      pending_names_.push_back({.gone = step.name, .come = step.to, .file = step.file});
      break;
    case CallSort::truncate:
      files_[step.file].pending.push_back({.truncates = true, .lost = false, .offset = step.offset, .bytes = {}});
      break;
    case CallSort::write:
      for (std::size_t at = 0; at < step.bytes.size();) {
        const std::size_t offset = static_cast<std::size_t>(step.offset) + at;
        const std::size_t size = std::min(step.bytes.size() - at, sector - offset % sector);
        files_[step.file].pending.push_back({.truncates = false,
                                             .lost = false,
                                             .offset = static_cast<std::int64_t>(offset),
                                             .bytes = step.bytes.substr(at, size)});
        at += size;
      }
      break;
    case CallSort::sync:
      if (step.failed) {
        for (Change& change : files_[step.file].pending) change.lost = true;
      } else {
        sync(files_[step.file]);
      }
      break;
    case CallSort::sync_folder:
      if (step.failed) break;
      for (const NameChange& change : pending_names_) {
        const auto gone = names_.find(change.gone);
        if (gone != names_.end() && gone->second == change.file) names_.erase(gone);
        if (!change.come.empty()) names_[change.come] = change.file;
      }
      pending_names_.clear();
      break;
    case CallSort::open:
    case CallSort::read:
    case CallSort::lock:
      break;
  }
}

std::map<std::string, int> Disk::names_now() const {
  std::map<std::string, int> names = names_;
  for (const NameChange& change : pending_names_) {
    names.erase(change.gone);
    if (!change.come.empty()) names[change.come] = change.file;
  }
  return names;
}

void Disk::advance_all_of(const Recorded& another) {
  std::map<int, int> numbers;  // the other recording's to this disk's
  const auto now = names_now();
  int other = 0;
  for (const auto& [name, bytes] : another.start) numbers[other++] = now.at(name);
  int next = files_.empty() ? 0 : files_.rbegin()->first + 1;
  for (DiskStep step : another.steps) {
    if (!numbers.contains(step.file)) numbers[step.file] = next++;
    step.file = numbers[step.file];
    advance(step);
  }
}

bool Disk::anything_unsynced() const {
  return !pending_names_.empty() ||
         std::any_of(files_.begin(), files_.end(), [](const auto& one) { return !one.second.pending.empty(); });
}

std::vector<bool> Disk::chosen(Unsynced unsynced, std::mt19937_64& dice) const {
  std::size_t changes = 0;
  for (const auto& [number, file] : files_) changes += file.pending.size();
  const bool bytes = unsynced == Unsynced::kept || unsynced == Unsynced::bytes_kept_names_dropped;
  const bool names = unsynced == Unsynced::kept || unsynced == Unsynced::bytes_dropped_names_kept;
  std::vector<bool> kept(changes, bytes);
  kept.resize(changes + pending_names_.size(), names);
  if (unsynced == Unsynced::torn || unsynced == Unsynced::torn_and_rubbish) {
    const std::uint64_t of_ten = 1 + dice() % 9;
    for (std::size_t i = 0; i < kept.size(); ++i) kept[i] = dice() % 10 < of_ten;
  }
  if (unsynced == Unsynced::one_lost && !kept.empty()) {
    kept.assign(kept.size(), true);
    const bool a_name = changes == 0 || (!pending_names_.empty() && dice() % 3 == 0);
    kept[a_name ? changes + dice() % pending_names_.size() : dice() % changes] = false;
  }
  return kept;
}

Files Disk::after_power_cut(Unsynced unsynced, std::mt19937_64& dice) const {
  const std::vector<bool> kept = chosen(unsynced, dice);
  std::mt19937_64* const rubbish = unsynced == Unsynced::torn_and_rubbish ? &dice : nullptr;
  std::size_t index = 0;
  std::map<int, std::string> bytes;
  for (const auto& [number, file] : files_) {
    std::string& content = bytes[number] = file.durable;
    std::size_t full_size = content.size();  // a file may have grown although its bytes never came
    for (const Change& change : file.pending) {
      const auto offset = static_cast<std::size_t>(change.offset);
      full_size = change.truncates ? offset : std::max(full_size, offset + change.bytes.size());
      if (!kept[index++]) continue;
      if (change.truncates) {
        content.resize(std::min(content.size(), offset));
      } else {
        fill_to(content, offset, rubbish);
        if (content.size() < offset + change.bytes.size()) content.resize(offset + change.bytes.size());
        content.replace(offset, change.bytes.size(), change.bytes);
      }
    }
    if (rubbish != nullptr && (*rubbish)() % 2 == 0) fill_to(content, full_size, rubbish);
  }
  std::map<std::string, int> names = names_;
  for (const NameChange& change : pending_names_) {
    if (!kept[index++]) continue;
    const auto gone = names.find(change.gone);
    if (gone != names.end() && gone->second == change.file) names.erase(gone);
    if (!change.come.empty()) names[change.come] = change.file;
  }
  Files image;
  for (const auto& [name, number] : names) image[name] = bytes[number];
  return image;
}

}  // namespace trayproof::tests
