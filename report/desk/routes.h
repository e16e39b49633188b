// The one table of what can be asked of the desk: method, address, who may, and what answers. A request is authorised
// by its row (desk.cpp reads it) and nowhere else. docs/desk.md shows the same table; tests/desk tries every row with
// every role and without one.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/people/rights.h"
#include "report/desk/fields.h"
#include "report/desk/server/request.h"
#include "report/desk/sessions.h"

namespace trayproof::desk {

class Desk;

enum class Who {
  anyone,
  station,  // an enrolled browser or program
  name,     // there, somebody who tapped their name: a claim
  pin,      // there, somebody who signed in with their PIN
};
std::string_view word(Who who);

// Whoever asks, as far as they showed it.
struct Identity {
  std::string station;   // its label; empty: not enrolled
  bool program = false;  // by a token in the request, not by a cookie
  std::string station_token;
  std::string session_token;
  std::optional<Session> session;  // only at a station

  Who level() const;
  const std::shared_ptr<const people::Signer>& signer() const;
  std::string person() const { return session ? session->person : std::string(); }
};

struct Asked {
  Desk& desk;
  const Request& request;
  const Identity& who;
  Fields query;
  Fields form;
  std::vector<std::pair<std::string_view, std::string>> places;  // what stands in the {} of the pattern

  const std::string& at(std::string_view place) const;
};

enum class Takes {
  nothing,
  form,    // limits::desk_form_bytes
  events,  // limits::desk_events_bytes
  upload,  // limits::desk_upload_bytes
  photo,   // limits::photo_bytes, and a form beside it
};

// Which kinds of event an address takes.
enum class Kinds {
  none,
  open,    // what happened in the ward, as a claim
  by_pin,  // these and what somebody must sign for
};
// Whether the desk takes that kind only from who signed in with a PIN: release, correction, recall, people, the SOP.
bool is_by_pin(std::string_view kind);

struct Route {
  std::string_view method;
  std::string_view pattern;
  Who who;
  std::optional<people::Right> right;  // besides the PIN
  Takes takes;
  Kinds kinds;
  Lane lane;
  Result<Response> (*answer)(Asked&);
};

std::span<const Route> routes();

struct Place {
  const Route* route = nullptr;  // null: nothing there
  bool other_method = false;     // something is, for another method
  std::vector<std::pair<std::string_view, std::string>> places;
};
Place find_route(const Head& head);

}  // namespace trayproof::desk
