// The labels of packs from the record.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "report/label/pack_label.h"

namespace trayproof::label {

// In the order given. Missing when the packing of one is not recorded.
Result<std::vector<PackLabel>> labels_of(links::Links& tables, std::span<const std::string> packs,
                                         const std::string& facility);

// The packs in that load that a label can be made for, in the order of their ids. Missing when there is none.
Result<std::vector<std::string>> packs_of_load(links::Links& tables, std::string_view load);

// The pack whose packing or receiving that code names; nothing when there is none.
Result<std::optional<std::string>> pack_of_code(links::Links& tables, std::string_view code);

}  // namespace trayproof::label
