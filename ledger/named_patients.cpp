#include "ledger/named_patients.h"

#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/time.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

bool looks_machine_made(std::string_view text) {
  return parse_date(text) || parse_date_time(text) || is_hex(text, 32) || is_hex(text, 16) || is_hex(text, 64);
}

class Search {
 public:
  Search(std::int64_t line, const KnownNumbers& numbers, events::Refusals& found)
      : line_(line), numbers_(numbers), found_(found) {}

  // `kind` is that of an event, empty for what stands inside one: only an event's own numbers are kept beside the
  // chain.
  void look(const Value& value, std::string_view kind) {
    if (value.is_text()) return look_at(value.text());
    if (value.is_list()) {
      for (const Value& item : value.items()) look(item, "");
    } else if (value.is_object()) {
      for (const json::Member& member : value.members()) look_into(member, kind);
    }
  }

 private:
  void look_at(std::string_view text) {
    if (looks_machine_made(text) || !numbers_.found_in(text)) return;
    std::string path;
    for (const std::string_view name : path_) path += (path.empty() ? "" : ".") + std::string(name);
    found_.push_back({line_, path, say("refused.names-patient")});
  }

  void look_into(const json::Member& member, std::string_view kind) {
    if (!kind.empty() && (member.name == "patient" || member.name == "newborns" || member.name == "kind")) return;
    if (kind.empty()) look_at(member.name);
    const bool replacement = kind == "corrected" && member.name == "replacement";
    path_.push_back(member.name);
    look(member.value, replacement ? member.value.text_at("kind").value_or("") : std::string_view());
    path_.pop_back();
  }

  std::int64_t line_;
  const KnownNumbers& numbers_;
  events::Refusals& found_;
  std::vector<std::string_view> path_;
};

}  // namespace

events::Refusals named_patients(const Value& event, std::string_view kind, std::int64_t line,
                                const KnownNumbers& numbers) {
  events::Refusals found;
  Search(line, numbers, found).look(event, kind);
  return found;
}

}  // namespace trayproof
