#include "report/desk/server/refusal.h"

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::desk {
namespace {

struct Row {
  Refusal refusal;
  int status;
  std::string_view key;
};

using enum Refusal;
constexpr Row table[] = {
    {not_http, 400, "desk.refused-not-http"},
    {old_version, 505, "desk.refused-version"},
    {method, 405, "desk.refused-method"},
    {target_long, 414, "desk.refused-target-long"},
    {path, 400, "desk.refused-path"},
    {head_long, 431, "desk.refused-head-long"},
    {host, 421, "desk.refused-host"},
    {length_missing, 411, "desk.refused-length-missing"},
    {length_wrong, 400, "desk.refused-length-wrong"},
    {body_long, 413, "desk.refused-body-long"},
    {encoded, 415, "desk.refused-encoded"},
    {expectation, 417, "desk.refused-expectation"},
    {twice, 400, "desk.refused-twice"},
    {late, 408, "desk.refused-late"},
    {busy, 503, "desk.refused-busy"},
    {station_first, 401, "desk.refused-station-first"},
    {no_route, 404, "desk.refused-no-route"},
    {other_method, 405, "desk.refused-other-method"},
};

const Row& row_of(Refusal refusal) {
  for (const Row& one : table) {
    if (one.refusal == refusal) return one;
  }
  CHECK(false);
  return table[0];
}

}  // namespace

int status_of(Refusal refusal) { return row_of(refusal).status; }

std::string word(Refusal refusal) { return say(row_of(refusal).key); }

std::string_view reason_of(int status) {
  switch (status) {
    case 400:
      return "Bad Request";
    case 401:
      return "Unauthorized";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 408:
      return "Request Timeout";
    case 411:
      return "Length Required";
    case 413:
      return "Content Too Large";
    case 414:
      return "URI Too Long";
    case 415:
      return "Unsupported Media Type";
    case 417:
      return "Expectation Failed";
    case 421:
      return "Misdirected Request";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    case 505:
      return "HTTP Version Not Supported";
    default:
      return "Refused";
  }
}

}  // namespace trayproof::desk
