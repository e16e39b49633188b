// The sheets of paper that are filed with notes and registers: a case, a load, a recall, the register of a period. They
// show what the workbook shows of it; docs/paper.md tells what stands where.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/text/json.h"
#include "report/paper/document.h"
#include "report/workbook/facts.h"

namespace trayproof::paper {

// `facts` hold everything around the case; missing when they hold no such procedure, load, recall.
Result<Document> case_sheet(const workbook::Facts& facts, const std::string& procedure);
Result<Document> load_sheet(const workbook::Facts& facts, const std::string& load,
                            const std::vector<picture::Curve>& curves);
// `answer` is the one that opened the recall, nothing when it was removed; `now` is the answer as it is now, whose
// packs and procedures that the other lacks were put on the list by later entries; `answered` are the packs and
// procedures with what was answered for them since.
Result<Document> recall_sheet(const workbook::Facts& facts, const std::string& recall,
                              const std::optional<json::Value>& answer, const std::optional<json::Value>& now,
                              const std::vector<std::pair<std::string, std::string>>& answered);
// Deliveries and operations of the period in the columns of a ward's book, then its loads.
Document register_sheet(const workbook::Facts& facts);

}  // namespace trayproof::paper
