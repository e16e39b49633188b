#include "ledger/recall/request.h"

#include <algorithm>
#include <iterator>

#include "ledger/base/check.h"
#include "ledger/events/kinds.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::recall {
namespace {

constexpr std::string_view names[] = {
    "biological-positive",     "load-failed",   "indicator-failed", "equipment-out-of-tolerance",
    "logger-out-of-tolerance", "solution-weak", "lot-withdrawn",    "air-removal-failed",
    "index-patient",           "chosen"};

Error needs(const Request& request, std::string_view field) {
  return {ErrorCode::invalid, say("recall.needs", {{"because", name_of(request.because)}, {"field", field}})};
}

// The checks of equipment that events know; a word that is none would match no check, and the window would have no end.
Result<void> is_check(const std::string& check) {
  const events::Kind* kind = events::find_kind("equipment-checked");
  CHECK(kind != nullptr);
  const auto& allowed = kind->field("check")->choices;
  if (std::ranges::find(allowed, check) != allowed.end()) return {};
  std::string spelt;
  for (const std::string_view name : allowed) spelt += (spelt.empty() ? "" : ", ") + std::string(name);
  return Error(ErrorCode::invalid, say("recall.no-check", {{"found", check}, {"allowed", spelt}}));
}

json::Value list_of(const std::vector<std::string>& ids) {
  json::Value list = json::Value::list();
  for (const std::string& id : ids) list.push(id);
  return list;
}

// In the order given, each once.
std::vector<std::string> ids_of(const json::Value* list) {
  std::vector<std::string> ids;
  if (list == nullptr || !list->is_list()) return ids;
  for (const json::Value& one : list->items()) {
    if (one.is_text() && std::ranges::find(ids, one.text()) == ids.end()) ids.push_back(one.text());
  }
  return ids;
}

}  // namespace

std::string_view name_of(Because because) { return names[static_cast<std::size_t>(because)]; }

std::optional<Because> because_of(std::string_view name) {
  const auto found = std::ranges::find(names, name);
  if (found == std::end(names)) return std::nullopt;
  return static_cast<Because>(found - std::begin(names));
}

Result<void> is_complete(const Request& request) {
  switch (request.because) {
    case Because::biological_positive:
    case Because::load_failed:
    case Because::indicator_failed:
      if (request.load.empty()) return needs(request, "load");
      return {};
    case Because::equipment_out_of_tolerance:
    case Because::logger_out_of_tolerance:
    case Because::air_removal_failed:
      if (request.equipment.empty()) return needs(request, "equipment");
      if (!request.at) return needs(request, "at");
      return is_check(request.check);
    case Because::solution_weak:
      if (request.solution.empty()) return needs(request, "solution");
      return {};
    case Because::lot_withdrawn:
      if (request.lot.empty()) return needs(request, "lot");
      return {};
    case Because::index_patient:
      if (request.procedure.empty()) return needs(request, "procedure");
      return {};
    case Because::chosen:
      if (request.loads.empty() && request.packs.empty()) return needs(request, "loads");
      if (request.why.empty()) return needs(request, "why");
      return {};
  }
  return {};
}

json::Value subject_of(const Request& request, const Zone& zone) {
  json::Value subject = json::Value::object();
  const auto set_at = [&] {
    if (request.at) subject.set("at", format_date_time(zone.local(*request.at)));
  };
  switch (request.because) {
    case Because::biological_positive:
    case Because::load_failed:
      subject.set("load", request.load);
      break;
    case Because::indicator_failed:
      subject.set("load", request.load);
      if (!request.pack.empty()) subject.set("pack", request.pack);
      break;
    case Because::equipment_out_of_tolerance:
      subject.set("equipment", request.equipment);
      set_at();
      subject.set("check", request.check);
      break;
    case Because::logger_out_of_tolerance:
    case Because::air_removal_failed:
      subject.set("equipment", request.equipment);
      set_at();
      break;
    case Because::solution_weak:
      subject.set("solution", request.solution);
      break;
    case Because::lot_withdrawn:
      subject.set("lot", request.lot);
      break;
    case Because::index_patient:
      subject.set("procedure", request.procedure);
      break;
    case Because::chosen:
      if (!request.loads.empty()) subject.set("loads", list_of(request.loads));
      if (!request.packs.empty()) subject.set("packs", list_of(request.packs));
      subject.set("why", request.why);
      break;
  }
  return subject;
}

std::string subject_text(const json::Value& subject) {
  const auto one = [](const json::Value& value) {
    if (!value.is_text()) return number_here(json::plain(value));
    const auto time = parse_date_time(value.text());
    return time ? time_here(*time) : value.text();
  };
  std::string text;
  for (const auto& [name, value] : subject.members()) {
    text += (text.empty() ? "" : ", ") + std::string(spelled_here(name)) + " ";
    if (!value.is_list()) {
      text += one(value);
      continue;
    }
    std::vector<std::string> items;
    for (const json::Value& item : value.items()) items.push_back(one(item));
    text += listed(items);
  }
  return text;
}

Result<Request> request_of(std::string_view because, const json::Value& subject) {
  Request request;
  const auto trigger = because_of(because);
  if (!trigger) return Error(ErrorCode::invalid, say("recall.unknown-because", {{"found", because}}));
  request.because = *trigger;
  const auto take = [&](std::string_view name, std::string& into) {
    if (const auto text = subject.text_at(name)) into = *text;
  };
  take("load", request.load);
  take("pack", request.pack);
  take("equipment", request.equipment);
  take("check", request.check);
  take("solution", request.solution);
  take("lot", request.lot);
  take("procedure", request.procedure);
  take("why", request.why);
  // In an entry a free text is its stand-in; that it was given is enough here.
  if (const json::Value* why = subject.find("why"); why != nullptr && why->is_object())
    request.why = json::canonical(*why);
  if (const auto at_text = subject.text_at("at")) {
    const auto at = parse_date_time(*at_text);
    if (!at) return Error(ErrorCode::invalid, say("recall.at", {{"found", *at_text}}));
    request.at = at->instant;
  }
  request.loads = ids_of(subject.find("loads"));
  request.packs = ids_of(subject.find("packs"));
  TRY(is_complete(request));
  return request;
}

}  // namespace trayproof::recall
