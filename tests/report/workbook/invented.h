// An invented facility for the tests of the workbook. No person, place or number in it is real.
#pragma once

#include "report/workbook/facts.h"

namespace trayproof::workbook {

Facts invented_facts();

}  // namespace trayproof::workbook
