// Fourth part of the reference: which loads carry a valid negative biological reading.
#pragma once

#include <vector>

#include "tests/reference/facts.h"

namespace trayproof::reference {

// The loads other than the subject, on its equipment and by its method, that a valid negative was read of.
std::vector<const Load*> valid_negatives_for(const Facts& facts, const Load& subject);

}  // namespace trayproof::reference
