// The desk: refusals, signing in, pages.
#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> desk() {
  static constexpr Word words[] = {
      {"desk.refused-not-http", "This is no request as browsers send them."},
      {"desk.refused-version", "Only HTTP/1.1 and HTTP/1.0 are spoken here."},
      {"desk.refused-method", "Only GET, HEAD and POST are taken here."},
      {"desk.refused-target-long", "The address is too long."},
      {"desk.refused-path", "The address cannot be read."},
      {"desk.refused-head-long", "The request says too much about itself."},
      {"desk.refused-host", "This desk is not known under that name. Start it with --host NAME to add the name."},
      {"desk.refused-length-missing", "Content must come whole, with its length."},
      {"desk.refused-length-wrong", "The length of the content is no plain number, or is told twice."},
      {"desk.refused-body-long", "This is more than is taken here."},
      {"desk.refused-encoded", "Content must come as it is, not compressed."},
      {"desk.refused-expectation", "What the request expects cannot be promised."},
      {"desk.refused-twice", "Something stands twice in the request that may stand once."},
      {"desk.refused-late", "The request did not come whole in time. Nothing was recorded. Send it again."},
      {"desk.refused-busy", "Too many are asking at once. Nothing was recorded. Send it again in a moment."},
      {"desk.refused-station-first", "This device is not enrolled as a station, and sends more than it may."},
      {"desk.refused-no-route", "There is nothing at this address."},
      {"desk.refused-other-method", "This address does not take that kind of request."},
      {"desk.refused-form", "The form could not be read. Nothing was recorded."},
      {"desk.failed", "The program failed here. If you were recording, look whether it is there before sending it again."},
      {"desk.port-taken", "{where} is taken already, perhaps by a desk that is running. Stop it, or give another --port."},
      {"desk.cannot-listen", "cannot listen at {where}: {why}"},
      {"desk.no-address", "--bind {found}: not an address of this machine. Give numbers, as 127.0.0.1 or 192.168.1.20."},
      {"desk.tls-file", "{file} cannot be used for TLS: {why}"},
  };
  return words;
}

}  // namespace trayproof::english
