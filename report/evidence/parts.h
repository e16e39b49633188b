// What the page is built from: facts with their names, tables, and steps in order of time.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/evidence/telling.h"

namespace trayproof::evidence {

// Name and value, one below the other on a telephone. What is empty is left out.
class FactList {
 public:
  void add(std::string_view key, std::string_view value);
  markup::Markup markup() const { return list_.markup(); }

 private:
  markup::Element list_{"dl"};
};

// A table whose cells carry their heading, so that a telephone can show each row as a card. What is empty was not
// recorded.
class Table {
 public:
  explicit Table(std::vector<std::string> heads);
  void row(const std::vector<std::string>& cells);
  markup::Markup markup() const;

 private:
  std::vector<std::string> heads_;
  markup::Element head_{"thead"};
  markup::Element body_{"tbody"};
};

struct Step {
  Instant at;
  std::int64_t seq = 0;
  std::string by;
  std::string says;
};
Result<void> add_step(std::vector<Step>& steps, const Telling& telling, const gaps::Record& record);
// By time, each entry once.
markup::Markup steps_list(std::vector<Step> steps, const Telling& telling);

}  // namespace trayproof::evidence
