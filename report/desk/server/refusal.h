// What the desk refuses before anybody's code has looked at a request: one status and one sentence each.
#pragma once

#include <string>
#include <string_view>

namespace trayproof::desk {

enum class Refusal {
  not_http,     // no request line and headers as RFC 9112 spells them
  old_version,  // neither HTTP/1.1 nor HTTP/1.0
  method,       // not GET, HEAD or POST
  target_long,
  path,            // not decodable, or with "." and ".."
  head_long,       // bytes, or lines
  host,            // none, two, or one that is no name of this desk
  length_missing,  // a body without Content-Length, or in pieces
  length_wrong,    // two, or no plain number
  body_long,
  encoded,  // a body under Content-Encoding
  expectation,
  twice,          // a header that may stand once
  late,           // not whole in time
  busy,           // too many wait already
  station_first,  // more bytes than a browser that is not enrolled may send
  no_route,
  other_method,
};

int status_of(Refusal refusal);
// The sentence for people.
std::string word(Refusal refusal);
// The name of a status, as RFC 9110 spells it.
std::string_view reason_of(int status);

}  // namespace trayproof::desk
