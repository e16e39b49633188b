#include "ledger/line_reader.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/content.h"
#include "ledger/named_patients.h"
#include "ledger/text/json_fault.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

constexpr std::size_t chunk_lines = 256;
constexpr std::size_t chunks_ahead = 16;  // more would leave the cache before they are written

// Whether some text or number of the event is kept beside the chain.
bool has_beside(const json::Value& value, std::string_view kind) {
  if (value.is_list()) {
    return std::any_of(value.items().begin(), value.items().end(),
                       [&](const json::Value& one) { return has_beside(one, ""); });
  }
  if (!value.is_object()) return false;
  return std::any_of(value.members().begin(), value.members().end(), [&](const json::Member& member) {
    if (member.name == "unknown") return false;
    return events::is_free_text(member.name) || member.name == "patient" || member.name == "newborns" ||
           (member.name == "name" && kind == "person-enrolled") || has_beside(member.value, "");
  });
}

}  // namespace

Rendered render(const json::Value& event) {
  Rendered rendered;
  rendered.members.reserve(320);
  thread_local std::vector<const json::Member*> members;
  members.clear();
  for (const json::Member& member : event.members()) members.push_back(&member);
  std::sort(members.begin(), members.end(),
            [](const json::Member* a, const json::Member* b) { return json::name_before(a->name, b->name); });
  std::size_t added = 0;
  const auto cut_before = [&](std::string_view name) {
    while (added < added_names.size() && (name.empty() || added_names[added] < name)) {
      rendered.cuts[added++] = static_cast<std::uint32_t>(rendered.members.size());
    }
  };
  for (const json::Member* member : members) {
    cut_before(member->name);
    if (!rendered.members.empty()) rendered.members += ',';
    json::append_canonical_text(rendered.members, member->name);
    rendered.members += ':';
    json::append_canonical(rendered.members, member->value);
  }
  cut_before({});
  return rendered;
}

ReadEvent read_event(std::int64_t line, json::Value given, const ReadingRules& rules) {
  ReadEvent read{.line = line,
                 .reading = events::read_draft(std::move(given), rules.giver, rules.default_by),
                 .content = {},
                 .rendered = {},
                 .named = {}};
  for (events::Refusal& refusal : read.reading.refusals) refusal.line = line;
  if (!read.reading.draft) return read;
  const json::Value& event = read.reading.draft->event;
  read.content = content_digest(event);
  if (rules.numbers != nullptr)
    read.named = named_patients(event, read.reading.draft->kind->name, line, *rules.numbers);
  if (!has_beside(event, read.reading.draft->kind->name)) read.rendered = render(event);
  return read;
}

ReadEvent read_line(std::int64_t line, std::string_view text, const ReadingRules& rules) {
  const auto refused = [&](std::string why, std::string field = {}) {
    ReadEvent read{.line = line, .reading = {}, .content = {}, .rendered = {}, .named = {}};
    read.reading.refusals.push_back({line, std::move(field), std::move(why)});
    return read;
  };
  if (text.size() > limits::entry_bytes) {
    return refused(say("refused.line-long",
                       {{"found", std::to_string(text.size())}, {"allowed", std::to_string(limits::entry_bytes)}}));
  }
  auto event = json::parse(text, limits::depth);
  if (!event.ok()) return refused(event.error().sentence(), json::member_at_fault(text, limits::depth));
  return read_event(line, std::move(event).value(), rules);
}

void each_line(std::string_view text, const std::function<void(std::int64_t, std::string_view)>& each) {
  std::int64_t number = 0;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);  // a byte-order mark, as some editors write it
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    ++number;
    if (line.ends_with('\r')) line.remove_suffix(1);
    if (line.find_first_not_of(" \t") == std::string_view::npos) continue;
    each(number, line);
  }
}

LineReader::LineReader(std::string_view text, ReadingRules rules) : rules_(std::move(rules)) {
  each_line(text, [this](std::int64_t number, std::string_view line) { lines_.emplace_back(number, line); });
  thread_ = std::thread(handed_over([this] { run(); }));
}

LineReader::~LineReader() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void LineReader::run() {
  for (std::size_t from = 0; from < lines_.size(); from += chunk_lines) {
    std::vector<ReadEvent> chunk;
    const std::size_t until = std::min(lines_.size(), from + chunk_lines);
    chunk.reserve(until - from);
    for (std::size_t i = from; i < until; ++i) chunk.push_back(read_line(lines_[i].first, lines_[i].second, rules_));
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return stop_ || ready_.size() < chunks_ahead; });
    if (stop_) return;
    ready_.push_back(std::move(chunk));
    changed_.notify_all();
  }
  const std::lock_guard lock(mutex_);
  done_ = true;
  changed_.notify_all();
}

std::vector<ReadEvent> LineReader::next() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return done_ || !ready_.empty(); });
  if (ready_.empty()) return {};
  std::vector<ReadEvent> chunk = std::move(ready_.front());
  ready_.pop_front();
  changed_.notify_all();
  return chunk;
}

}  // namespace trayproof
