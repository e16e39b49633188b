// Asking a confined process of this same program (the verb `read-code`) for the code in a photo. The process that asks
// never touches a byte of the picture, and the one that looks has none of its memory: keys of people who are signed in.
#pragma once

#include <string>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/text/json.h"

namespace trayproof::photo {

enum class Seen {
  code,        // one
  none,        // a picture without any
  several,     // a picture of several: nobody knows which is meant
  no_picture,  // bytes that are none, or one that could not be looked at in time
  too_large,
};

struct Looked {
  Seen seen = Seen::no_picture;
  std::vector<std::string> codes = {};
};

// In this process, which is confined already.
Looked look(ByteView picture);

// In a process of its own. Unavailable where none can be started or it cannot be confined.
Result<Looked> look_apart(ByteView picture);

// Between the two.
json::Value told(const Looked& looked);

// What to say where it is not one code.
std::string sentence_of(const Looked& looked);

}  // namespace trayproof::photo
