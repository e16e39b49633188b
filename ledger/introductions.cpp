#include "ledger/introductions.h"

#include <algorithm>

#include "ledger/base/check.h"
#include "ledger/events/kinds.h"

namespace trayproof {
namespace {

using json::Value;

struct Rule {
  std::string_view kind;
  std::string_view sort;
  std::string_view field;
};

constexpr Rule rules[] = {
    {"packed", "pack", "pack"},
    {"pack-received", "pack", "pack"},
    {"load-started", "load", "load"},
    {"load-ended", "load-end", "load"},
    {"procedure-done", "procedure", "procedure"},
    {"solution-prepared", "solution", "solution"},
    {"solution-discarded", "solution-discard", "solution"},
    {"recall-opened", "recall", "recall"},
    {"recall-closed", "recall-close", "recall"},
};

constexpr std::string_view sorts[] = {"load",   "load-end",     "pack",     "procedure",
                                      "recall", "recall-close", "solution", "solution-discard"};

std::size_t place_of(std::string_view sort) {
  return static_cast<std::size_t>(std::find(std::begin(sorts), std::end(sorts), sort) - std::begin(sorts));
}

}  // namespace

const Value* effective_of(const Value& event) {
  if (event.text_at("kind") != "corrected") return &event;
  const Value* replacement = event.find("replacement");
  return replacement != nullptr && replacement->is_object() ? replacement : nullptr;
}

std::vector<Introduction> introductions_of(const Value& event) {
  const auto kind = event.text_at("kind").value_or("");
  for (const Rule& rule : rules) {
    if (rule.kind != kind) continue;
    const auto id = event.text_at(rule.field);
    if (!id) return {};
    return {{.sort = rule.sort,
             .id = std::string(*id),
             .field = rule.field,
             .detail = std::string(rule.sort == "solution" ? event.text_at("use").value_or("") : "")}};
  }
  return {};
}

std::vector<Soak> soaks_of(const Value& event) {
  const Value* effective = effective_of(event);
  if (effective == nullptr || effective->text_at("kind") != "soaked") return {};
  const auto solution = effective->text_at("solution");
  if (!solution) return {};
  return {{.solution = std::string(*solution), .field = effective == &event ? "solution" : "replacement.solution"}};
}

Result<void> Holdings::know_all(std::size_t claims) {
  before_asking_();
  slots_.reserve(claims);
  ledger_ids_.emplace();
  return file_.scan_introductions([this](std::string_view sort, std::string_view id) {
    ledger_ids_->insert({place_of(sort), std::string(id)});
  });
}

Holdings::Holdings(store::LedgerFile& file, std::int64_t entries, std::function<void()> before_asking)
    : file_(file),
      before_asking_(std::move(before_asking)),
      many_(std::max<std::size_t>(1000, static_cast<std::size_t>(entries) / 16)) {}

Result<Holdings::Slot*> Holdings::slot(std::string_view sort, const std::string& id) {
  Key key{place_of(sort), id};
  CHECK(key.sort < std::size(sorts));
  auto there = slots_.find(key);
  if (there == slots_.end()) {
    // Many questions are answered by reading all ids once, where there are not many more ids than questions.
    if (!ledger_ids_ && ++asked_ > many_) TRY(know_all(slots_.size()));
    std::optional<store::Introduction> stored;
    if (!ledger_ids_ || ledger_ids_->contains(key)) {
      before_asking_();
      TRY_LET(stored, file_.introduction(sort, id));
    }
    Slot found;
    if (stored) {
      found.holder = Holder{.origin = stored->origin, .line = 0, .detail = stored->detail};
      by_origin_[stored->origin].push_back(key);
    }
    there = slots_.emplace(std::move(key), std::move(found)).first;
  }
  return &there->second;
}

Result<void> Holdings::release(std::int64_t origin) {
  before_asking_();
  // Rows of the ledger are found through the family's own entries, those of the batch through `by_origin_`.
  const auto corrections = file_.corrections_of(origin);
  if (!corrections.ok()) return Error(corrections.error());
  std::vector<std::int64_t> family = corrections.value();
  family.push_back(origin);
  for (const std::int64_t seq : family) {
    const auto entry = file_.entry(seq);
    if (!entry.ok()) {
      if (entry.error().code() == ErrorCode::missing) continue;  // an event of this batch
      return Error(entry.error());
    }
    TRY_LET(const auto event, json::parse(entry.value().bytes));
    const Value* effective = effective_of(event);
    if (effective == nullptr) continue;
    for (const Introduction& one : introductions_of(*effective)) TRY(slot(one.sort, one.id));
  }
  for (const Key& key : by_origin_[origin]) {
    Slot& slot = slots_[key];
    if (slot.holder && slot.holder->origin == origin) {
      slot.holder.reset();
      slot.changed = true;
    }
  }
  by_origin_.erase(origin);
  return {};
}

Result<std::optional<Holdings::Holder>> Holdings::claim(const Introduction& introduction, std::int64_t origin,
                                                        std::int64_t line) {
  TRY_LET(Slot * there, slot(introduction.sort, introduction.id));
  if (there->holder) return there->holder;
  there->holder = Holder{.origin = origin, .line = line, .detail = introduction.detail};
  there->changed = true;  // releases are over when claims begin: nothing needs to find this slot by its origin
  return std::optional<Holder>{};
}

Result<std::optional<Holdings::Holder>> Holdings::holder(std::string_view sort, const std::string& id) {
  TRY_LET(Slot * there, slot(sort, id));
  return there->holder;
}

Result<void> Holdings::store() {
  before_asking_();
  // In the order of the index: rows that lie together are written together.
  std::vector<std::pair<const Key*, const Slot*>> rows;
  for (const auto& [key, slot] : slots_) {
    if (slot.changed) rows.emplace_back(&key, &slot);
  }
  std::sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
    return a.first->sort == b.first->sort ? a.first->id < b.first->id : a.first->sort < b.first->sort;
  });
  for (const auto& [key, slot] : rows) {
    const std::string_view sort = sorts[key->sort];
    if (slot->holder) {
      TRY(file_.put_introduction(sort, key->id, {.origin = slot->holder->origin, .detail = slot->holder->detail}));
    } else {
      TRY(file_.drop_introduction(sort, key->id));
    }
  }
  return {};
}

}  // namespace trayproof
