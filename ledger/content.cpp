#include "ledger/content.h"

#include <algorithm>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/events/kinds.h"

namespace trayproof {
namespace {

using json::Value;

enum class Beside { no, text, number };

// Is the member kept beside the chain? `kind` is the event's, empty for what stands inside one of its members: a text
// is kept there at any depth, a number only by the event itself.
Beside beside(std::string_view kind, std::string_view name) {
  if (events::is_free_text(name) || (name == "name" && kind == "person-enrolled")) return Beside::text;
  if (!kind.empty() && (name == "patient" || name == "newborns")) return Beside::number;
  return Beside::no;
}

bool left_out(std::string_view name) { return name == "slip" || name == "entered" || events::is_added_by_ledger(name); }

// The text that is hashed: canonical in its order, times as milliseconds, numbers and texts as marks.
class DigestText {
 public:
  std::string of(const Value& event) {
    constexpr std::size_t usual_bytes = 400;
    out_.reserve(usual_bytes);
    if (event.is_object())
      object(event, event.text_at("kind").value_or(""), true);
    else
      value(event, "");  // an entry may be damaged so far that it is no object: verify asks all the same
    return std::move(out_);
  }

 private:
  void value(const Value& value, std::string_view kind) {
    if (value.is_text()) {
      if (const auto time = parse_date_time(value.text())) {
        out_ += '@' + std::to_string(time->instant.ms);
      } else {
        json::append_canonical_text(out_, value.text());
      }
    } else if (value.is_list()) {
      out_ += '[';
      for (const Value& item : value.items()) this->value(item, kind), out_ += ',';
      out_ += ']';
    } else if (value.is_object()) {
      object(value, kind, false);
    } else {
      json::append_canonical(out_, value);
    }
  }

  void object(const Value& event, std::string_view kind, bool top) {
    std::vector<const json::Member*> members;
    members.reserve(event.members().size());
    for (const json::Member& member : event.members()) {
      if (!(top && left_out(member.name))) members.push_back(&member);
    }
    const auto before = [](const json::Member* a, const json::Member* b) {
      if (!a->name.empty() && !b->name.empty() && a->name.front() != b->name.front()) {
        return static_cast<unsigned char>(a->name.front()) < static_cast<unsigned char>(b->name.front());
      }
      return a->name < b->name;
    };
    if (!std::is_sorted(members.begin(), members.end(), before)) std::sort(members.begin(), members.end(), before);
    out_ += '{';
    for (const json::Member* member : members) {
      json::append_canonical_text(out_, member->name);
      out_ += ':';
      put(*member, kind);
      out_ += ',';
    }
    out_ += '}';
  }

  void put(const json::Member& member, std::string_view kind) {
    if (member.name == "unknown") return json::append_canonical(out_, member.value);  // names fields, holds none
    const Beside where = beside(kind, member.name);
    if (where == Beside::text) {
      out_ += "text";
    } else if (where == Beside::number) {
      out_ += "numbers " + std::to_string(member.value.is_list() ? member.value.items().size() : 1);
    } else if (member.name == "replacement" && kind == "corrected" && member.value.is_object()) {
      object(member.value, member.value.text_at("kind").value_or(""), false);
    } else {
      value(member.value, "");
    }
  }

  std::string out_;
};

class Comparison {
 public:
  explicit Comparison(const BesideTheChain& beside_the_chain) : beside_(beside_the_chain) {}

  bool events(const Value& given, const Value& stored, bool top) const {
    const std::string_view kind = given.text_at("kind").value_or("");
    return objects(given, stored, kind, top);
  }

 private:
  bool objects(const Value& given, const Value& stored, std::string_view kind, bool top) const {
    const auto counted = [&](const Value& value) {
      return std::count_if(value.members().begin(), value.members().end(),
                           [&](const json::Member& member) { return !(top && left_out(member.name)); });
    };
    if (!stored.is_object() || counted(given) != counted(stored)) return false;
    for (const json::Member& member : given.members()) {
      if (top && left_out(member.name)) continue;
      const Value* other = stored.find(member.name);
      if (other == nullptr || !members(member.name, member.value, *other, kind)) return false;
    }
    return true;
  }

  bool members(std::string_view name, const Value& given, const Value& stored, std::string_view kind) const {
    if (name == "unknown") return given == stored;
    switch (beside(kind, name)) {
      case Beside::text:
        return texts(given, stored);
      case Beside::number:
        return numbers(given, stored);
      case Beside::no:
        break;
    }
    if (name == "replacement" && kind == "corrected" && given.is_object() && stored.is_object()) {
      return events(given, stored, false);
    }
    return values(given, stored);
  }

  bool values(const Value& given, const Value& stored) const {
    if (given.is_object()) return objects(given, stored, "", false);
    if (given.is_list()) {
      if (!stored.is_list() || given.items().size() != stored.items().size()) return false;
      for (std::size_t i = 0; i < given.items().size(); ++i) {
        if (!values(given.items()[i], stored.items()[i])) return false;
      }
      return true;
    }
    if (given.is_text() && stored.is_text() && given.text() != stored.text()) {
      const auto one = parse_date_time(given.text());
      const auto two = parse_date_time(stored.text());
      return one && two && one->instant == two->instant;
    }
    return given == stored;
  }

  bool texts(const Value& given, const Value& stored) const {
    if (given == stored) return true;  // a kept stand-in
    const auto stand_in = stored.text_at("sha256");
    if (!given.is_text() || !stand_in) return false;
    const auto text = beside_.text(*stand_in);
    return !text || *text == given.text();
  }

  bool numbers(const Value& given, const Value& stored) const {
    if (given.is_list()) {
      if (!stored.is_list() || given.items().size() != stored.items().size()) return false;
      for (std::size_t i = 0; i < given.items().size(); ++i) {
        if (!numbers(given.items()[i], stored.items()[i])) return false;
      }
      return true;
    }
    if (!stored.is_text()) return false;
    if (const auto kept = given.text_at("pseudonym")) return *kept == stored.text();
    if (!given.is_text()) return false;
    if (!beside_.has_number(stored.text())) return true;  // erased: not compared
    return beside_.pseudonym(given.text()) == stored.text();
  }

  const BesideTheChain& beside_;
};

}  // namespace

crypto::Token content_digest(const Value& event) {
  const Digest hash = crypto::sha256(as_bytes(DigestText().of(event)));
  crypto::Token token;
  std::copy_n(hash.begin(), token.size(), token.begin());
  return token;
}

bool same_content(const Value& given, const Value& stored, const BesideTheChain& beside) {
  return Comparison(beside).events(given, stored, true);
}

}  // namespace trayproof
