// Where things stand in the sheets, so that one row can lead to another.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "report/workbook/cell.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

// Rows of a sheet; its name outlives the place.
struct Place {
  const std::string* sheet = nullptr;
  Rows rows;
};

// The facts outlive it, and it outlives the cells that lead to what it found.
class Places {
 public:
  explicit Places(const Facts& facts);
  Places(const Places&) = delete;
  Places& operator=(const Places&) = delete;

  Place case_at(std::size_t case_row) const { return {&cases_sheet_, {case_row, 1}}; }
  // Rows of the sheet "Packs" that a case has.
  Place packs_of(std::size_t case_row) const { return {&packs_sheet_, packs_[case_row]}; }
  std::optional<Place> load(std::string_view id) const { return found(loads_, id); }
  std::optional<Place> solution(std::string_view id) const { return found(solutions_, id); }
  std::optional<Place> curve(std::string_view load) const { return found(curves_, load); }
  // The readings for a pack in a load, else those for the load as a whole.
  std::optional<Place> indicators(std::string_view load, std::string_view pack) const;

 private:
  using PackOfLoad = std::pair<std::string_view, std::string_view>;  // load, pack
  struct Hash {
    std::size_t operator()(const PackOfLoad& one) const;
  };
  struct ById {
    explicit ById(std::string_view sheet_key);
    std::string sheet;
    std::unordered_map<std::string_view, Rows> rows;
  };
  static std::optional<Place> found(const ById& all, std::string_view id) {
    const auto place = all.rows.find(id);
    return place == all.rows.end() ? std::nullopt : std::optional<Place>({&all.sheet, place->second});
  }
  std::string cases_sheet_, packs_sheet_, indicators_sheet_;
  std::vector<Rows> packs_;
  ById loads_{"loads"}, solutions_{"solutions"}, curves_{"curves"};
  std::unordered_map<PackOfLoad, Rows, Hash> indicators_;
};

// A link where there is a row to lead to, else the text alone.
Cell linked(CellText text, const std::optional<Place>& place);

}  // namespace trayproof::workbook
