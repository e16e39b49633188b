// A process that looks at foreign bytes and can do nothing else: no files, no network, no other processes, bounded time and
// memory. What a broken picture makes of the libraries that read it ends here.
#pragma once

#include "ledger/base/result.h"

namespace trayproof::photo {

// From here on this process may read what is open, write to what is open, use memory and end. For good. Unavailable where
// the machine cannot promise that.
Result<void> confine_this_process();

}  // namespace trayproof::photo
