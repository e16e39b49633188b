#include "ledger/people/roster.h"

#include <algorithm>
#include <set>

namespace trayproof::people {
namespace {

// An enrolment or a leaving as it stands after the entry `seq`; of no person when a correction took it back.
struct Act {
  std::int64_t seq = 0;
  std::int64_t origin = 0;
  DateTime at;
  bool leaves = false;
  std::string person;
  std::string name;
  std::vector<std::string> roles;
  std::string key;  // that signs the entry
};
using Acts = std::map<std::int64_t, Act>;  // by origin

Act act_of(std::int64_t seq, std::int64_t origin, const json::Value& entry) {
  Act act;
  act.seq = seq;
  act.origin = origin;
  act.key = entry.text_at("key").value_or("");
  const json::Value* event = entry.text_at("kind") == "corrected" ? entry.find("replacement") : &entry;
  if (event == nullptr || !event->is_object()) return act;
  const auto kind = event->text_at("kind").value_or("");
  if (kind != "person-enrolled" && kind != "person-left") return act;
  act.leaves = kind == "person-left";
  act.person = event->text_at("person").value_or("");
  act.at = parse_date_time(event->text_at("at").value_or("")).value_or(DateTime{});
  if (const json::Value* name = event->find("name")) act.name = name->text_at("sha256").value_or("");
  const json::Value* roles = event->find("roles");
  if (roles == nullptr || !roles->is_list()) return act;
  for (const json::Value& role : roles->items()) {
    if (role.is_text()) act.roles.push_back(role.text());
  }
  return act;
}

// What holds of a person: the act that happened last.
const Act* holds_of(const Acts& acts, std::string_view person) {
  const Act* last = nullptr;
  for (const auto& [origin, act] : acts) {
    if (act.person != person) continue;
    if (last == nullptr || act.at.instant >= last->at.instant) last = &act;
  }
  return last;
}

bool gives(std::span<const std::string> roles, const RightRow& row, std::span<const std::string> instead) {
  if (!instead.empty()) {
    return std::any_of(roles.begin(), roles.end(), [&](const auto& role) {
      return std::find(instead.begin(), instead.end(), role) != instead.end();
    });
  }
  return row.roles.empty() || std::any_of(roles.begin(), roles.end(), [&](const auto& role) {
           return std::find(row.roles.begin(), row.roles.end(), role) != row.roles.end();
         });
}

class Reading {
 public:
  Reading(store::LedgerFile& file, const KeyBook& keys) : file_(file), keys_(keys) {}

  Result<void> read() {
    std::vector<Act> acts;
    for (const std::string_view kind : {"person-enrolled", "person-left"}) {
      TRY_LET(const auto origins, file_.landmarks(kind));
      for (const std::int64_t origin : origins) {
        TRY_LET(std::vector<std::int64_t> family, file_.corrections_of(origin));
        family.insert(family.begin(), origin);
        for (const std::int64_t seq : family) {
          TRY_LET(const auto entry, file_.entry(seq));
          TRY_LET(const auto event, json::parse(entry.bytes));
          acts.push_back(act_of(seq, origin, event));
        }
      }
    }
    std::sort(acts.begin(), acts.end(), [](const Act& a, const Act& b) { return a.seq < b.seq; });
    for (const Act& act : acts) {
      if (is_trusted(act)) trusted_[act.origin] = act;
      shown_[act.origin] = act;
    }
    return {};
  }

  std::vector<Person> persons() const {
    std::set<std::string> ids;
    for (const auto& [origin, act] : shown_) ids.insert(act.person);
    ids.erase("");
    std::vector<Person> all;
    for (const std::string& id : ids) {
      const Act* shown = holds_of(shown_, id);
      const Act* trusted = holds_of(trusted_, id);
      Person one{
          .id = id, .name = {}, .roles = {}, .enrolled = 0, .left = {}, .trusted_roles = {}, .trusted_left = false};
      // Who left keeps name and roles for the lists.
      Acts enrolments;
      for (const auto& [origin, act] : shown_) {
        if (!act.leaves) enrolments.emplace(origin, act);
      }
      if (const Act* enrolled = holds_of(enrolments, id)) {
        one.name = enrolled->name;
        one.roles = enrolled->roles;
        one.enrolled = enrolled->seq;
      }
      if (shown != nullptr && shown->leaves) one.left = shown->at;
      one.trusted_left = trusted != nullptr && trusted->leaves;
      if (trusted != nullptr && !trusted->leaves) one.trusted_roles = trusted->roles;
      all.push_back(std::move(one));
    }
    return all;
  }

 private:
  // Before the entry `seq`: those who may enrol and had a key in force.
  std::set<std::string> enrollers(std::int64_t seq) const {
    std::set<std::string> found;
    for (const KnownKey& key : keys_.all()) {
      if (!key.is_person() || key.added >= seq || (key.retired && key.retired->seq < seq)) continue;
      const Act* holds = holds_of(trusted_, key.owner);
      if (holds != nullptr && !holds->leaves && gives(holds->roles, row_of(Right::enrol), {})) found.insert(key.owner);
    }
    return found;
  }
  bool is_trusted(const Act& act) const {
    const auto may = enrollers(act.seq);
    if (may.empty()) return true;
    const KnownKey* key = keys_.find(act.key);
    return key != nullptr && key->is_person() && may.contains(key->owner);
  }

  store::LedgerFile& file_;
  const KeyBook& keys_;
  Acts shown_;
  Acts trusted_;
};

}  // namespace

Result<Roster> Roster::read(store::LedgerFile& file, const KeyBook& keys) {
  Reading reading(file, keys);
  TRY(reading.read());
  Roster roster;
  roster.persons_ = reading.persons();
  for (const Person& one : roster.persons_) {
    if (keys.in_force(one.id, "person") != nullptr) roster.with_key_.push_back(one.id);
  }
  return roster;
}

const Person* Roster::find(std::string_view id) const {
  const auto found = std::find_if(persons_.begin(), persons_.end(), [&](const Person& one) { return one.id == id; });
  return found == persons_.end() ? nullptr : &*found;
}

bool Roster::may(std::string_view person, Right right, std::span<const std::string> roles) const {
  const Person* one = find(person);
  return one != nullptr && !one->trusted_left && gives(one->trusted_roles, row_of(right), roles) &&
         (!row_of(right).roles.empty() || !one->trusted_roles.empty());
}

std::vector<std::string> Roster::who_may(Right right, std::span<const std::string> roles) const {
  std::vector<std::string> found;
  for (const std::string& id : with_key_) {
    if (may(id, right, roles)) found.push_back(id);
  }
  return found;
}

}  // namespace trayproof::people
