// What answers each address of the table (routes.cpp). One file a group.
#pragma once

#include "report/desk/routes.h"

namespace trayproof::desk {

// health.cpp
Result<Response> answer_live(Asked& asked);
Result<Response> answer_ready(Asked& asked);
// assets.cpp
Result<Response> answer_asset(Asked& asked);
// sign_in.cpp
Result<Response> answer_station_page(Asked& asked);
Result<Response> answer_become_station(Asked& asked);
Result<Response> answer_sign_in_page(Asked& asked);
Result<Response> answer_tap_name(Asked& asked);
Result<Response> answer_sign_in(Asked& asked);
Result<Response> answer_sign_out(Asked& asked);
// home.cpp
Result<Response> answer_home_page(Asked& asked);
Result<Response> answer_recent_page(Asked& asked);
// api_record.cpp
Result<Response> answer_me(Asked& asked);
Result<Response> answer_events(Asked& asked);
// api_ask.cpp
Result<Response> answer_exposure(Asked& asked);
Result<Response> answer_trace(Asked& asked);

}  // namespace trayproof::desk
