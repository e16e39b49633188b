// The cycles of one export as they are kept, in its order, set aside while the export is read.
#pragma once

#include <string>

#include "importer/judging/measured.h"
#include "ledger/base/spool.h"

namespace trayproof::importer {

class CodedCurves {
 public:
  // What memory shall not hold lies beside that path for so long.
  explicit CodedCurves(std::string beside) : spool_(std::move(beside)) {}

  Result<void> add(const judging::Coded& curve) {
    TRY(spool_.add(curve.bytes));
    return spool_.add(curve.sketch);
  }
  Result<judging::Coded> at(std::size_t i) const {
    judging::Coded curve;
    TRY_LET(curve.bytes, spool_.at(2 * i));
    TRY_LET(curve.sketch, spool_.at(2 * i + 1));
    return curve;
  }
  std::size_t size() const { return spool_.size() / 2; }
  void clear() { spool_.clear(); }

 private:
  Spool spool_;
};

}  // namespace trayproof::importer
