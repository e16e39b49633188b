// The steps of a recall's work as events to record: answering what is on the list, closing. What does not fit the list
// is refused before anything is recorded.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/recall/work.h"
#include "ledger/text/json.h"

namespace trayproof::recall {

struct AnsweringItems {
  std::vector<std::string> packs, procedures;
  std::string outcome;
  std::optional<std::string> text;
};
// One recall-answered for each. Missing: something is not on the list; invalid: the outcome does not fit it.
Result<std::vector<json::Value>> answering(const Work& work, const AnsweringItems& items);

struct Closing {
  std::string by;  // who closes it
  std::string conclusion;
  std::string second;
  bool with_open = false;
};
// The recall-closed. Invalid: something still needs an answer, and `with_open` does not say that it may; the second
// person is the one who closes it.
Result<json::Value> closing(const Work& work, const Closing& closing);

}  // namespace trayproof::recall
