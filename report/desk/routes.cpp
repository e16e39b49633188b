#include "report/desk/routes.h"

#include <algorithm>

#include "ledger/base/check.h"
#include "report/desk/answers.h"

namespace trayproof::desk {
namespace {

using enum Who;
constexpr auto no_right = std::nullopt;

constexpr Route table[] = {
    // How it goes
    {"GET", "/live", anyone, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_live},
    {"GET", "/ready", anyone, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_ready},
    {"GET", "/assets/{name}", anyone, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_asset},
    // Becoming a station, and who is at it
    {"GET", "/station", anyone, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_station_page},
    {"POST", "/station", anyone, no_right, Takes::form, Kinds::none, Lane::pin, answer_become_station},
    {"GET", "/sign-in", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_sign_in_page},
    {"POST", "/name", station, no_right, Takes::form, Kinds::none, Lane::quick, answer_tap_name},
    {"POST", "/sign-in", station, no_right, Takes::form, Kinds::none, Lane::pin, answer_sign_in},
    {"POST", "/sign-out", station, no_right, Takes::form, Kinds::none, Lane::quick, answer_sign_out},
    {"POST", "/language", station, no_right, Takes::form, Kinds::none, Lane::quick, answer_language},
    // Pages
    {"GET", "/", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_home_page},
    {"GET", "/recent", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_recent_page},
    // Everything about one thing, and the way to it from what was typed or scanned
    {"GET", "/pack/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_subject_page},
    {"GET", "/load/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_subject_page},
    {"GET", "/procedure/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_subject_page},
    {"GET", "/solution/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_subject_page},
    {"GET", "/set/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_subject_page},
    {"GET", "/lot/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_subject_page},
    {"GET", "/person/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_subject_page},
    {"GET", "/equipment/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_subject_page},
    {"GET", "/entry/{seq}", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_entry_page},
    {"POST", "/entry/{seq}/countersign", pin, no_right, Takes::form, Kinds::none, Lane::quick,
     answer_countersign_entry},
    {"GET", "/find", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_find_page},
    {"POST", "/find", station, no_right, Takes::form, Kinds::none, Lane::quick, answer_find},
    // Gaps and the assessor's questions
    {"GET", "/gaps", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_gaps_page},
    {"GET", "/gaps/{rule}/{kind}/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_finding_page},
    {"POST", "/gaps/{rule}/{kind}/{id}", pin, no_right, Takes::form, Kinds::none, Lane::quick, answer_finding_answered},
    {"GET", "/questions", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_questions_page},
    {"GET", "/questions/{question}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_question_page},
    {"GET", "/questions/{question}/table.csv", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_question_csv},
    // Recalls
    {"GET", "/recalls", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_recalls_page},
    {"POST", "/recalls", pin, no_right, Takes::form, Kinds::none, Lane::slow, answer_open_recall},
    {"GET", "/recalls/new", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_new_recall_page},
    {"GET", "/recalls/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_recall_page},
    {"POST", "/recalls/{id}/answer", pin, no_right, Takes::form, Kinds::none, Lane::slow, answer_recall_item},
    {"POST", "/recalls/{id}/close", pin, people::Right::close_recall, Takes::form, Kinds::none, Lane::slow,
     answer_recall_closed},
    {"GET", "/recalls/{id}/calls", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_calls_page},
    {"GET", "/recalls/{id}/calls/list.csv", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_calls_csv},
    {"POST", "/recalls/{id}/calls", pin, people::Right::read_numbers, Takes::form, Kinds::none, Lane::slow,
     answer_calls_with_numbers},
    // A logger's file, and the record itself
    {"GET", "/import", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_import_page},
    {"POST", "/import", name, no_right, Takes::upload, Kinds::none, Lane::slow, answer_import_handed_in},
    {"GET", "/import/{token}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_import_read},
    {"POST", "/import/{token}", name, no_right, Takes::form, Kinds::none, Lane::slow, answer_import_confirmed},
    {"GET", "/ledger", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_ledger_page},
    {"GET", "/ledger/checkpoint.svg", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_checkpoint_picture},
    {"POST", "/ledger/verify", station, no_right, Takes::form, Kinds::none, Lane::slow, answer_verify_page},
    {"POST", "/ledger/checkpoint", pin, no_right, Takes::form, Kinds::none, Lane::slow, answer_sign_checkpoint},
    // Recording by forms, correcting, the second person's signature, labels
    {"GET", "/record", name, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_record_page},
    {"GET", "/record/{kind}", name, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_kind_page},
    {"POST", "/record/{kind}", name, no_right, Takes::form, Kinds::open, Lane::quick, answer_record},
    {"POST", "/sign/{kind}", pin, no_right, Takes::form, Kinds::by_pin, Lane::quick, answer_sign},
    {"GET", "/correct/{seq}", pin, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_correct_page},
    {"POST", "/correct/{seq}", pin, no_right, Takes::form, Kinds::by_pin, Lane::quick, answer_correct},
    {"GET", "/second/{seq}", name, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_second_page},
    {"POST", "/second/{seq}", name, no_right, Takes::form, Kinds::none, Lane::pin, answer_second},
    {"GET", "/seconds", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_seconds_page},
    {"POST", "/seconds", station, no_right, Takes::form, Kinds::none, Lane::pin, answer_seconds},
    {"POST", "/code", station, no_right, Takes::photo, Kinds::none, Lane::photo, answer_photo},
    {"GET", "/label/badges", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_badges},
    {"GET", "/label/badge/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_badge},
    {"GET", "/label/pack/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_pack_label},
    {"GET", "/label/load/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_load_labels},
    {"GET", "/label/entries/{first}/{last}", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_entry_labels},
    // The API
    {"GET", "/api/v1/me", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_me},
    {"POST", "/api/v1/events", station, no_right, Takes::events, Kinds::open, Lane::quick, answer_events},
    {"POST", "/api/v1/signed-events", pin, no_right, Takes::events, Kinds::by_pin, Lane::quick, answer_events},
    {"GET", "/api/v1/gaps", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_api_gaps},
    {"GET", "/api/v1/answers", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_api_questions},
    {"GET", "/api/v1/answers/{question}", station, no_right, Takes::nothing, Kinds::none, Lane::slow,
     answer_api_answer},
    {"GET", "/api/v1/recall", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_api_recall},
    {"GET", "/api/v1/recalls/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_api_recall_work},
    {"POST", "/api/v1/import", station, no_right, Takes::upload, Kinds::none, Lane::slow, answer_api_import},
    {"GET", "/api/v1/export", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_api_export},
    {"POST", "/api/v1/verify", station, no_right, Takes::form, Kinds::none, Lane::slow, answer_api_verify},
    {"GET", "/api/v1/checkpoint", station, no_right, Takes::nothing, Kinds::none, Lane::quick, answer_api_checkpoint},
    {"POST", "/api/v1/checkpoint", pin, no_right, Takes::form, Kinds::none, Lane::slow, answer_api_sign_checkpoint},
    {"POST", "/api/v1/countersign/{seq}", pin, no_right, Takes::form, Kinds::none, Lane::quick, answer_api_countersign},
    {"GET", "/api/v1/exposure", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_exposure},
    {"GET", "/api/v1/trace/{kind}/{id}", station, no_right, Takes::nothing, Kinds::none, Lane::slow, answer_trace},
};

constexpr std::string_view pin_kinds[] = {
    "corrected",       "finding-answered", "load-released", "person-enrolled", "person-left",
    "recall-answered", "recall-closed",    "sop-adopted",   "sop-confirmed",
};

// The next piece of a pattern, without its slash.
std::string_view next_piece(std::string_view& pattern) {
  pattern.remove_prefix(1);
  const std::string_view piece = pattern.substr(0, pattern.find('/'));
  pattern.remove_prefix(piece.size());
  return piece;
}

bool fits(std::string_view pattern, const std::vector<std::string>& segments, Place& into) {
  into.places.clear();
  if (pattern == "/") return segments.empty();
  for (const std::string& segment : segments) {
    if (pattern.empty()) return false;
    const std::string_view piece = next_piece(pattern);
    if (piece.starts_with('{')) {
      into.places.emplace_back(piece.substr(1, piece.size() - 2), segment);
    } else if (piece != segment) {
      return false;
    }
  }
  return pattern.empty();
}

}  // namespace

std::string_view word(Who who) {
  switch (who) {
    case anyone:
      return "anyone";
    case station:
      return "station";
    case name:
      return "name";
    case pin:
      return "pin";
  }
  CHECK(false);
  return {};
}

Who Identity::level() const {
  if (station.empty()) return Who::anyone;
  if (!session) return Who::station;
  return session->signer ? Who::pin : Who::name;
}

const std::shared_ptr<const people::Signer>& Identity::signer() const {
  static const std::shared_ptr<const people::Signer> nobody;
  return session ? session->signer : nobody;
}

const std::string& Asked::at(std::string_view place) const {
  for (const auto& [one, value] : places) {
    if (one == place) return value;
  }
  CHECK(false);
  static const std::string none;
  return none;
}

bool is_by_pin(std::string_view kind) {
  return std::find(std::begin(pin_kinds), std::end(pin_kinds), kind) != std::end(pin_kinds);
}

std::span<const Route> routes() { return table; }

Place find_route(const Head& head) {
  Place place;
  bool other = false;
  const std::string_view method = head.method == "HEAD" ? std::string_view("GET") : std::string_view(head.method);
  for (const Route& one : table) {
    if (!fits(one.pattern, head.segments, place)) continue;
    if (one.method == method) {
      place.route = &one;
      return place;
    }
    other = true;
  }
  place.places.clear();
  place.other_method = other;
  return place;
}

}  // namespace trayproof::desk
