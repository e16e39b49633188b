// Curves drawn while a file is read: the first of them, since a long export holds thousands.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/import.h"
#include "report/command/context.h"
#include "report/picture/curve.h"

namespace trayproof::command {

class CurveDrawings {
 public:
  enum class For { nothing, terminal, plot };
  // `editions` must outlive it.
  CurveDrawings(For use, const sop::Editions& editions, Zone zone)
      : use_(use), editions_(editions), zone_(std::move(zone)) {}

  // What was drawn before is void.
  void begin();
  void cycle(const judging::Series& series, const importer::Cycle& cycle);
  // The file is read: `import` has every finding. Of a short file without a cycle the whole is drawn.
  Result<void> finish(const importer::Import& import, reading::Source& source, const importer::Choices& choices,
                      const importer::Surroundings& around);

  // In a terminal each is sketched; `plot` writes the drawing itself.
  Result<void> show(const Context& context, const std::optional<std::string>& plot) const;

 private:
  For use_;
  const sop::Editions& editions_;
  Zone zone_;
  std::vector<picture::Curve> curves_;
  std::size_t moments_ = 0;
  std::size_t left_out_ = 0;
};

}  // namespace trayproof::command
