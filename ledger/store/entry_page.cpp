#include "ledger/store/entry_page.h"

namespace trayproof::store {

Result<void> EntryPage::fill(Statement& read) {
  rows_.clear();
  bytes_.clear();
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) return {};
    Row added{.seq = read.integer(0), .at = bytes_.size(), .entry = 0, .hash = 0, .sig = 0};
    const std::string_view entry = read.text(1);
    bytes_ += entry;
    added.entry = entry.size();
    const std::string_view hash = as_text(read.blob(2));
    bytes_ += hash;
    added.hash = hash.size();
    const std::string_view sig = as_text(read.blob(3));
    bytes_ += sig;
    added.sig = sig.size();
    rows_.push_back(added);
  }
}

EntryView EntryPage::at(std::size_t index) const {
  const Row& row = rows_[index];
  const std::string_view bytes = std::string_view(bytes_).substr(row.at);
  return {.seq = row.seq,
          .bytes = bytes.substr(0, row.entry),
          .hash = as_bytes(bytes.substr(row.entry, row.hash)),
          .sig = as_bytes(bytes.substr(row.entry + row.hash, row.sig))};
}

}  // namespace trayproof::store
