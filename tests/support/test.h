// doctest beside our own CHECK. Both are called CHECK: this header takes ours in first, then lets the tests have the
// name. Included instead of doctest.h, after every header of the program.
#pragma once

#include "ledger/base/check.h"
#include "ledger/base/result.h"

#undef CHECK
#include <doctest/doctest.h>
