// One rule of the catalogue: what it is called, how grave its gap is, what it is about, and the pure function that
// looks at the facts. docs/gap-rules.md is the authority on the ids; a test ties the two both ways.
//
// For each thing it looks at a rule says one of three: holds, gap, cannot tell. What is exempt, or whose limit the SOP
// does not state, is not looked at; a rule says then that the limit is not stated.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "report/gaps/facts.h"

namespace trayproof::gaps {

enum class Severity { critical, major, minor, information };
std::string_view word(Severity severity);

using Seqs = std::vector<std::int64_t>;

struct Gap {
  std::string id = {};  // of the subject
  Instant at;           // when the gap arose
  json::Value found =
      {};  // a number in the unit of the rule's sentence, a time, a word; null where there is nothing to tell
  json::Value limit = {};
  Seqs rests_on = {};  // entries without which it would not be seen; the highest of them is where it was first seen
  Seqs beside = {};    // other entries to look at
  std::optional<Severity> severity = {};  // where it is not the rule's
  std::string_view kind = {};             // of the subject, where it is not the rule's
  std::string_view says = {};             // which of the rule's sentences, where it has several
};

// What could not be told, of the rule's kind of subject where none is given.
struct Open {
  std::string_view kind;
  std::string id;
  Instant at;
};

// What one rule said in one period. A verdict belongs to the period in which the thing it looks at was decided.
class Looked {
 public:
  enum class Keep { gaps_of_the_period, every_gap };  // what is counted is the period's either way
  Looked(std::optional<Instant> from, std::optional<Instant> until, Keep keep)
      : from_(from), until_(until), keep_(keep) {}

  void holds(Instant at) { subjects_ += inside(at) ? 1 : 0; }
  void cannot_tell(Instant at, std::string_view id, std::string_view kind = {});
  void gap(Gap gap);
  // The SOP in force does not state the limit of what would have been looked at then.
  void not_stated(Instant at) { not_stated_ = not_stated_ || inside(at); }

  // Gap of the subject of that id when `is_gap` says yes; the gap is only made then, without the id.
  template <typename Make>
  void say(Told is_gap, Instant at, std::string_view id, Make make) {
    if (is_gap == Told::no) return holds(at);
    if (is_gap == Told::open) return cannot_tell(at, id);
    Gap made = make();
    made.id = id;
    gap(std::move(made));
  }

  std::int64_t subjects() const { return subjects_; }
  std::int64_t found() const { return found_; }
  std::int64_t open() const { return cannot_tell_; }
  // Which those are; kept only after `name_open`.
  void name_open() { names_open_ = true; }
  std::vector<Open>& opened() { return opened_; }
  bool limit_not_stated() const { return not_stated_; }
  std::vector<Gap>& gaps() { return gaps_; }

 private:
  bool inside(Instant at) const { return (!from_ || at >= *from_) && (!until_ || at <= *until_); }

  std::optional<Instant> from_;
  std::optional<Instant> until_;
  Keep keep_;
  std::int64_t subjects_ = 0;
  std::int64_t found_ = 0;
  std::int64_t cannot_tell_ = 0;
  bool not_stated_ = false;
  bool names_open_ = false;
  std::vector<Gap> gaps_;
  std::vector<Open> opened_;
};

struct Rule {
  std::string_view id;
  Severity severity;
  std::string_view subject;  // kind of thing
  void (*look)(const Facts& facts, Looked& looked);
};

// In the order of docs/gap-rules.md.
std::span<const Rule> catalogue();
const Rule* find_rule(std::string_view id);

}  // namespace trayproof::gaps
