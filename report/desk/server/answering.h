// Whole requests through the HTTP library and back as bytes. The library sees a head that is written anew from what was
// read (docs/decisions/0040), never the bytes of a stranger: it takes apart forms of many parts and writes the answer.
#pragma once

#include <memory>
#include <string>

#include "report/desk/server/request.h"

namespace trayproof::desk {

class Answering {
 public:
  explicit Answering(Application& application);
  ~Answering();

  struct Answer {
    std::string bytes;
    bool close = false;
  };
  // `keep`: whether the connection may stay open afterwards.
  Answer answer(Request request, bool keep);

 private:
  class Library;
  std::unique_ptr<Library> library_;
};

// A refusal as it goes out, with the end of the connection announced.
std::string refusal_bytes(Refusal refusal);

}  // namespace trayproof::desk
