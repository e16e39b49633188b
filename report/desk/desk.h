// The desk: who asks, whether their row of the table lets them, and what goes with every answer. docs/desk.md is the
// authority.
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "ledger/text/json.h"
#include "ledger/words/language.h"
#include "report/desk/held_files.h"
#include "report/desk/kept_pages.h"
#include "report/desk/known_gaps.h"
#include "report/desk/record.h"
#include "report/desk/routes.h"
#include "report/desk/server/request.h"
#include "report/desk/sessions.h"
#include "report/desk/stations.h"
#include "report/desk/throttle.h"

namespace trayproof::desk {

struct Premises {
  std::string bind = "127.0.0.1";
  std::vector<std::string> hosts = {};  // names by which it is reached, besides those of this machine
  bool secure = false;                  // over TLS, its own or the proxy's
  bool behind_proxy = false;
};

class Desk final : public Application {
 public:
  // `log` is given whole lines and may be called from any thread.
  Desk(std::unique_ptr<Record> record, Clock& clock, Premises premises, std::function<void(std::string_view)> log);

  std::variant<Admission, Refusal> admit(const Head& head, std::string_view peer) const override;
  Response answer(const Request& request) override;
  void failed(const Request& request, std::string_view what) override;

  Record& record() { return *record_; }
  Clock& clock() { return clock_; }
  Sessions& sessions() { return sessions_; }
  Stations& stations() { return stations_; }
  Throttle& throttle() { return throttle_; }
  KnownGaps& gaps() { return gaps_; }
  HeldFiles& held_files() { return held_files_; }
  // What stands below the frame of this address, kept or made now. Only for pages that show everybody the same.
  Result<std::shared_ptr<const markup::Markup>> same_for_all(
      const Asked& asked, const std::function<Result<markup::Markup>(Record::Reader&)>& make);
  const Premises& premises() const { return premises_; }
  void log(const std::string& line) { log_(line); }
  // Not while it stops, nor when a write's outcome is unknown.
  bool is_ready() const { return !stopping_ && !record_->is_uncertain(); }
  void stop() { stopping_ = true; }

  // What a form of this station and session must bring along, so that no other site can send it.
  static std::string csrf_of(const Identity& who);
  // Cookies as this desk sets them; an empty value removes it.
  std::pair<std::string, std::string> cookie(std::string_view name, std::string_view value, std::int64_t seconds) const;

 private:
  Identity identity_of(const Request& request);
  Language language_for(const Head& head) const;
  Response answer_to(const Request& request);
  Result<Response> refusal_of(const Asked& asked, const Route& route);
  bool comes_from_here(const Asked& asked) const;
  bool is_known_host(std::string_view host) const;

  std::unique_ptr<Record> record_;
  Clock& clock_;
  Premises premises_;
  std::function<void(std::string_view)> log_;
  Sessions sessions_;
  mutable Stations stations_;
  Throttle throttle_;
  KnownGaps gaps_;
  HeldFiles held_files_;
  KeptPages kept_pages_;
  std::string own_name_;
  std::atomic<bool> stopping_ = false;
};

inline constexpr std::string_view station_cookie = "trayproof-station";
inline constexpr std::string_view session_cookie = "trayproof-session";
inline constexpr std::string_view language_cookie = "trayproof-language";

// Answers that need no page.
Response json_response(const json::Value& value, int status = 200);
Response see_other(std::string_view address);
// Where somebody wanted to go (`next` of a form, else of the query): an address of this desk, else the first page.
std::string next_in(const Asked& asked);
// The status of an error, and what a program is told.
int status_of(ErrorCode code);
json::Value problem(std::string_view code, std::string_view sentence);

}  // namespace trayproof::desk
