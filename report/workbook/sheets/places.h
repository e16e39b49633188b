// Where things stand in the sheets, so that one row can lead to another.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "report/workbook/cell.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

class Places {
 public:
  explicit Places(const Facts& facts);

  // Rows of the sheet "Packs" that a case has.
  Rows packs_of(std::size_t case_row) const { return packs_[case_row]; }
  std::optional<Rows> load(const std::string& id) const { return found(loads_, id); }
  std::optional<Rows> solution(const std::string& id) const { return found(solutions_, id); }
  std::optional<Rows> curve(const std::string& load) const { return found(curves_, load); }
  // The readings for a pack in a load, else those for the load as a whole.
  std::optional<Rows> indicators(const std::string& load, const std::string& pack) const;

 private:
  using ById = std::map<std::string, Rows>;
  static std::optional<Rows> found(const ById& all, const std::string& id) {
    const auto place = all.find(id);
    return place == all.end() ? std::nullopt : std::optional<Rows>(place->second);
  }
  std::vector<Rows> packs_;
  ById loads_, solutions_, curves_;
  std::map<std::string, ById> indicators_;  // by load, then pack
};

// A link where there is a row to lead to, else the text alone.
Cell linked(const std::string& sheet_key, std::string text, const std::optional<Rows>& rows);

}  // namespace trayproof::workbook
