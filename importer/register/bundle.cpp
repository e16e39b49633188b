#include "importer/register/bundle.h"

#include <algorithm>
#include <map>

#include "importer/register/cells.h"
#include "importer/register/times.h"
#include "ledger/base/number.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using json::Value;

const Value* within(const Value* value, std::initializer_list<std::string_view> path) {
  for (const std::string_view name : path) {
    if (value != nullptr && value->is_list()) value = value->items().empty() ? nullptr : &value->items().front();
    if (value == nullptr) return nullptr;
    value = value->find(name);
  }
  return value;
}

std::string text_within(const Value* value, std::initializer_list<std::string_view> path) {
  const Value* found = within(value, path);
  return found != nullptr && found->is_text() ? found->text() : std::string();
}

// The identifier that is in use: "official" or "usual" before others, never one that is "old".
std::string identifier_of(const Value& resource) {
  const Value* list = resource.find("identifier");
  if (list == nullptr) return {};
  if (list->is_object()) return std::string(list->text_at("value").value_or(""));
  if (!list->is_list()) return {};
  std::string best;
  int best_rank = 0;
  for (const Value& one : list->items()) {
    const auto use = one.text_at("use").value_or("");
    const int rank = use == "official" ? 4 : use == "usual" ? 3 : use == "temp" ? 1 : use == "old" ? 0 : 2;
    const auto value = one.text_at("value");
    if (!value || value->empty() || rank <= best_rank) continue;
    best = *value;
    best_rank = rank;
  }
  return best;
}

// "2026-05-01", "2026-05-01T08:30:00+05:30"; a year or a month alone is too coarse for any rule.
std::optional<Moment> moment_in(const std::string& text, const Zone& zone) {
  if (text.size() < 10) return std::nullopt;
  const auto time = parse_register_time(text);
  if (!time || !time->has_day()) return std::nullopt;
  const auto day = day_meant(*time, reading::DateOrder::ymd);
  return day ? moment_of(*day, *time, zone).moment : std::nullopt;
}

class BundleReader {
 public:
  BundleReader(const events::Kind& kind, const Choices& choices, const Zone& zone, Register& out)
      : kind_(kind), choices_(choices), zone_(zone), out_(out) {}

  void read(const Value& bundle);

 private:
  void know_patient(const Value& entry, const Value& resource);
  void procedure(const Value& resource, std::int64_t number);
  bool set_times(const Value& resource, Value& event, std::int64_t number);
  std::string patient_of(const Value& resource) const;
  void set_packs(const Value& resource, Value& event);
  void set_fixed(Value& event) const;
  void refuse(std::int64_t number, std::string column, std::string_view field, std::string why) {
    out_.refused.push_back({number, std::move(column), std::string(field), std::move(why)});
  }

  const events::Kind& kind_;
  const Choices& choices_;
  const Zone& zone_;
  Register& out_;
  std::map<std::string, std::string> patients_;  // by reference: its identifier
  std::map<std::string, std::int64_t> ignored_;
};

void BundleReader::know_patient(const Value& entry, const Value& resource) {
  const std::string number = identifier_of(resource);
  if (number.empty()) return;
  out_.patients.push_back(number);
  if (const auto url = entry.text_at("fullUrl")) patients_[std::string(*url)] = number;
  if (const auto id = resource.text_at("id")) patients_["Patient/" + std::string(*id)] = number;
}

std::string BundleReader::patient_of(const Value& resource) const {
  const Value* subject = resource.find("subject");
  if (subject == nullptr) return {};
  if (const std::string number = identifier_of(*subject); !number.empty()) return number;
  std::string reference = std::string(subject->text_at("reference").value_or(""));
  if (const auto found = patients_.find(reference); found != patients_.end()) return found->second;
  // An absolute address of a server: its last two steps; a version behind is left out.
  if (const std::size_t version = reference.find("/_history/"); version != std::string::npos) reference.resize(version);
  const std::size_t at = reference.rfind("Patient/");
  const auto found = at == std::string::npos ? patients_.end() : patients_.find(reference.substr(at));
  return found == patients_.end() ? std::string() : found->second;
}

bool BundleReader::set_times(const Value& resource, Value& event, std::int64_t number) {
  const Value* period = resource.find("performedPeriod");
  const std::string begins =
      period != nullptr ? text_within(period, {"start"}) : text_within(&resource, {"performedDateTime"});
  const std::string column = period != nullptr ? "performedPeriod.start" : "performedDateTime";
  const auto at = moment_in(begins, zone_);
  if (!at) {
    refuse(number, column, "at",
           say("register.refused-cell", {{"found", begins.empty() ? say("register.nothing") : "\"" + begins + "\""},
                                         {"allowed", say("register.a-day-at-least")}}));
    return false;
  }
  event.set("at", format_date_time(at->at));
  Precision precision = at->precision;
  const std::string ends = period == nullptr ? std::string() : text_within(period, {"end"});
  if (!ends.empty()) {
    const auto until = moment_in(ends, zone_);
    if (!until) {
      refuse(
          number, "performedPeriod.end", "until",
          say("register.refused-cell", {{"found", "\"" + ends + "\""}, {"allowed", say("register.a-day-at-least")}}));
      return false;
    }
    event.set("until", format_date_time(until->at));
    precision = std::max(precision, until->precision);
  }
  if (precision != Precision::second) event.set("precision", precision == Precision::day ? "day" : "minute");
  return true;
}

// Packs as their hospital system names them: identifiers of what the procedure used.
void BundleReader::set_packs(const Value& resource, Value& event) {
  Value packs = Value::list();
  if (const Value* used = resource.find("usedReference"); used != nullptr && used->is_list()) {
    for (const Value& one : used->items()) {
      if (const std::string id = identifier_of(one); !id.empty()) packs.push(id);
    }
  }
  if (!packs.items().empty()) event.set("packs", std::move(packs));
}

void BundleReader::set_fixed(Value& event) const {
  CellRules rules;
  for (const auto& [name, value] : choices_.fixed) {
    if (name.starts_with("unknown.")) continue;
    const events::Field* field = register_field(kind_, name);
    if (event.find(name) != nullptr || field == nullptr) continue;
    const CellRead read = read_cell(*field, value, {}, rules);
    if (read.value) event.set(name, *read.value);
  }
}

void BundleReader::procedure(const Value& resource, std::int64_t number) {
  ++out_.rows;
  const std::string patient = patient_of(resource);
  if (!patient.empty()) out_.patients.push_back(patient);
  const std::string status = std::string(resource.text_at("status").value_or(""));
  if (status != "completed") {
    ++ignored_[say("register.bundle-status", {{"status", status.empty() ? say("register.nothing") : status}})];
    return;
  }
  Value event = Value::object().set("kind", kind_.name);
  std::string id = identifier_of(resource);
  if (id.empty()) id = std::string(resource.text_at("id").value_or(""));
  if (!set_times(resource, event, number)) return;
  event.set("procedure", id);
  if (!patient.empty()) event.set("patient", patient);
  std::string sort = text_within(&resource, {"code", "text"});
  if (sort.empty()) sort = text_within(&resource, {"code", "coding", "display"});
  if (sort.empty()) sort = text_within(&resource, {"code", "coding", "code"});
  if (!sort.empty()) event.set("sort", sort);
  if (const std::string place = text_within(&resource, {"location", "display"}); !place.empty())
    event.set("place", place);
  set_packs(resource, event);
  set_fixed(event);
  // What the hospital's system does not say is not recorded; that nothing was used it does not say either.
  Value unknown = Value::object();
  for (const std::string_view name : {"sort", "place", "packs"}) {
    if (event.find(name) == nullptr) unknown.set(name, "not-recorded");
  }
  if (event.find("patient") == nullptr) unknown.set("patient", "not-recorded");
  if (!unknown.members().empty()) event.set("unknown", std::move(unknown));
  event.set("paper", hex(out_.file) + ":" + std::to_string(number));
  while (out_.events_lines + 1 < number) {
    out_.lines += '\n';
    ++out_.events_lines;
  }
  out_.lines += json::plain(event) + "\n";
  ++out_.events_lines;
  ++out_.events;
}

void BundleReader::read(const Value& bundle) {
  const Value* entries = bundle.find("entry");
  const bool is_list = entries != nullptr && entries->is_list();
  const json::List none;
  const json::List& all = is_list ? entries->items() : none;
  for (const Value& entry : all) {
    const Value* resource = entry.find("resource");
    if (resource != nullptr && resource->text_at("resourceType") == "Patient") know_patient(entry, *resource);
  }
  std::int64_t number = 0;
  for (const Value& entry : all) {
    ++number;
    const Value* resource = entry.find("resource");
    const auto type = resource == nullptr ? std::nullopt : resource->text_at("resourceType");
    if (type == "Procedure")
      procedure(*resource, number);
    else if (type != "Patient")
      ++ignored_[type && heading_words(*type).size() < 6 ? std::string(*type) : say("register.nothing")];
  }
  for (const auto& [what, count] : ignored_)
    out_.notes.push_back(say("register.bundle-ignored", {{"what", what}, {"count", std::to_string(count)}}));
  for (const auto& [what, count] : ignored_) out_.skipped += count;
}

}  // namespace

bool is_bundle(ByteView bytes) {
  std::string_view text = as_text(bytes);
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos || text[first] != '{') return false;
  const std::size_t next = text.find_first_not_of(" \t\r\n", first + 1);
  return next != std::string_view::npos && text[next] == '"';
}

Register read_bundle(ByteView bytes, const events::Kind& kind, const Choices& choices, const Zone& facility) {
  Register out;
  out.file = crypto::sha256(bytes);
  out.bytes = static_cast<std::int64_t>(bytes.size());
  out.sort = "fhir-bundle";
  Zone zone = facility;
  if (choices.zone) {
    if (auto found = Zone::find(*choices.zone); found.ok()) zone = std::move(found).value();
  }
  out.reading = Value::object()
                    .set("encoding", "utf-8")
                    .set("delimiter", Value())
                    .set("decimal", Value())
                    .set("date_order", Value())
                    .set("zone", zone.name())
                    .set("header_row", Value())
                    .set("profile", Value());
  std::string_view text = as_text(bytes);
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  const auto bundle = json::parse(text);
  // The reader's own sentence might show what stands there: a name, a number.
  if (!bundle.ok() || bundle.value().text_at("resourceType") != "Bundle") {
    out.refused.push_back({0, {}, {}, say(bundle.ok() ? "register.no-bundle" : "register.no-json")});
    return out;
  }
  BundleReader(kind, choices, zone, out).read(bundle.value());
  return out;
}

}  // namespace trayproof::registers
