// What pages load, embedded into the program (assets/, by .incbin), so that nothing is read from a folder that somebody
// else could change.
#include <array>
#include <string_view>

#include "ledger/base/embed.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"

TRAYPROOF_EMBED("trayproof_asset_css", TRAYPROOF_ASSETS "/desk.css");
TRAYPROOF_EMBED("trayproof_asset_record", TRAYPROOF_ASSETS "/desk.js");
TRAYPROOF_EMBED("trayproof_asset_keys", TRAYPROOF_ASSETS "/keys.js");
TRAYPROOF_EMBED("trayproof_asset_openapi", TRAYPROOF_ASSETS "/openapi.json");

extern "C" {
extern const char trayproof_asset_css[];
extern const char trayproof_asset_css_end[];
extern const char trayproof_asset_record[];
extern const char trayproof_asset_record_end[];
extern const char trayproof_asset_keys[];
extern const char trayproof_asset_keys_end[];
extern const char trayproof_asset_openapi[];
extern const char trayproof_asset_openapi_end[];
}

namespace trayproof::desk {
namespace {

struct Asset {
  std::string_view name;
  std::string_view type;
  const char* begin;
  const char* end;
};

const std::array assets = {
    Asset{"desk.css", "text/css; charset=utf-8", trayproof_asset_css, trayproof_asset_css_end},
    Asset{"desk.js", "text/javascript; charset=utf-8", trayproof_asset_record, trayproof_asset_record_end},
    Asset{"keys.js", "text/javascript; charset=utf-8", trayproof_asset_keys, trayproof_asset_keys_end},
    Asset{"openapi.json", "application/json", trayproof_asset_openapi, trayproof_asset_openapi_end},
};

}  // namespace

Result<Response> answer_asset(Asked& asked) {
  for (const Asset& one : assets) {
    if (one.name != asked.at("name")) continue;
    std::string bytes(one.begin, one.end);
    const std::string tag = "\"" + hex(crypto::sha256(as_bytes(bytes))).substr(0, 32) + "\"";
    // Asked for again each time, and not sent again unless it changed with the program.
    Response response{.type = std::string(one.type), .headers = {{"ETag", tag}, {"Cache-Control", "no-cache"}}};
    if (asked.request.head.header("if-none-match") == tag) {
      response.status = 304;
    } else {
      response.body = std::move(bytes);
    }
    return response;
  }
  return Error(ErrorCode::missing, say("desk.refused-no-route"));
}

}  // namespace trayproof::desk
