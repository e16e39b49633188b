// The code in a picture on standard input. The desk runs it for photos; nothing of the picture is kept.
#include <unistd.h>

#include <cerrno>

#include "ledger/base/desk_limits.h"
#include "report/command/verbs.h"
#include "report/photo/confined.h"
#include "report/photo/looking.h"

namespace trayproof::command {
namespace {

// Of more than the limit one byte too many.
Bytes standard_input() {
  Bytes bytes;
  std::uint8_t piece[65536];
  while (bytes.size() <= limits::photo_bytes) {
    const ssize_t got = ::read(STDIN_FILENO, piece, sizeof piece);
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    bytes.insert(bytes.end(), piece, piece + got);
  }
  return bytes;
}

}  // namespace

Status read_code(const Context& context) {
  if (auto confined = photo::confine_this_process(); !confined.ok()) return context.fail(confined.error());
  const Bytes bytes = standard_input();
  const photo::Looked looked =
      bytes.size() > limits::photo_bytes ? photo::Looked{.seen = photo::Seen::too_large} : photo::look(bytes);
  if (context.json) {
    context.print(photo::told(looked));
  } else if (looked.seen == photo::Seen::code || looked.seen == photo::Seen::several) {
    for (const std::string& one : looked.codes) context.out << one << (one.ends_with('\n') ? "" : "\n");
  } else {
    context.tell(photo::sentence_of(looked));
  }
  return looked.codes.empty() ? Status::does_not_hold : Status::done;
}

}  // namespace trayproof::command
