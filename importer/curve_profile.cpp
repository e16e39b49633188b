#include "importer/curve_profile.h"

#include <algorithm>
#include <array>

#include "importer/judging/decisions.h"
#include "importer/profiles/profile_file.h"
#include "importer/reading/reading.h"
#include "importer/reading/units.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using json::Value;

constexpr std::string_view sort = "curve";

// One member of a profile that holds a text.
struct TextMember {
  std::string_view name;
  std::optional<std::string> Choices::*choice;
  std::string_view allowed;  // empty: told by the catalogue
};
constexpr std::array<TextMember, 6> members = {{
    {"encoding", &Choices::encoding, "utf-8, utf-16le, utf-16be, windows-1252"},
    {"delimiter", &Choices::delimiter, "\",\", \";\", tab, |, blanks"},
    {"decimal", &Choices::decimal, "point, comma"},
    {"date_order", &Choices::date_order, "dmy, mdy, ymd"},
    {"zone", &Choices::zone, ""},
    {"pressure", &Choices::pressure, "gauge, absolute"},
}};

// What a file may settle for those that come after it.
constexpr std::array<std::string_view, 3> settled_by_file = {"delimiter", "decimal", "date_order"};

std::string member_names() {
  std::string names = "for";
  for (const TextMember& one : members) names += ", " + std::string(one.name);
  return say("profile.members", {{"names", names + ", units"}});
}

class Reader {
 public:
  Reader(std::string file, const Value& profile) : file_(std::move(file)), profile_(profile) {}

  Result<Choices> read() {
    Choices out;
    for (const json::Member& member : profile_.members()) {
      if (member.name == "for") continue;
      if (member.name == "units") {
        TRY(read_units(member.value, out));
        continue;
      }
      const auto* const known =
          std::find_if(members.begin(), members.end(), [&](const TextMember& one) { return one.name == member.name; });
      if (known == members.end()) return wrong(member.name, Value(member.name), member_names());
      const std::string allowed = known->allowed.empty() ? say("profile.zone-names") : std::string(known->allowed);
      if (!member.value.is_text()) return wrong(member.name, member.value, allowed);
      Choices alone;
      alone.*(known->choice) = member.value.text();
      if (unknown_choice(alone)) return wrong(member.name, member.value, allowed);
      out.*(known->choice) = member.value.text();
    }
    return out;
  }

 private:
  Error wrong(const std::string& place, const Value& found, const std::string& allowed) const {
    return Error(ErrorCode::invalid,
                 say("profile.member",
                     {{"file", file_}, {"found", json::plain(found)}, {"place", place}, {"allowed", allowed}}));
  }

  Result<void> read_units(const Value& units, Choices& out) const {
    if (!units.is_list()) return wrong("units", units, say("profile.units"));
    for (std::size_t i = 0; i < units.items().size(); ++i) {
      const Value& one = units.items()[i];
      const std::string place = "units/" + std::to_string(i + 1);
      const auto channel = one.text_at("channel");
      const auto unit = one.text_at("unit");
      if (!channel || !unit || one.members().size() != 2) return wrong(place, one, say("profile.units"));
      const bool twice =
          std::any_of(out.units.begin(), out.units.end(), [&](const auto& other) { return other.first == *channel; });
      if (twice || channel->empty()) return wrong(place + "/channel", Value(*channel), say("profile.channel-name"));
      if (!reading::unit_named(*unit) && *unit != judging::no_unit)
        return wrong(place + "/unit", Value(*unit), say("profile.unit-names"));
      out.units.emplace_back(*channel, *unit);
    }
    return {};
  }

  std::string file_;
  const Value& profile_;
};

// The same text in every reading.
std::optional<std::string> common(std::span<const Value> readings, std::string_view name) {
  std::optional<std::string> out;
  for (const Value& one : readings) {
    const auto text = one.text_at(name);
    if (!text || (out && *out != *text)) return std::nullopt;
    out = std::string(*text);
  }
  return out;
}

}  // namespace

std::string curve_profile_file(const std::string& ledger_path, const std::string& name) {
  return profiles::file_of(ledger_path, sort, name);
}

Result<Choices> with_curve_profile(const std::string& ledger_path, const std::string& name, Choices said) {
  TRY_LET(const Value profile, profiles::load(ledger_path, sort, name));
  TRY_LET(const Choices kept, Reader(curve_profile_file(ledger_path, name), profile).read());
  for (const TextMember& one : members) {
    if (!(said.*(one.choice))) said.*(one.choice) = kept.*(one.choice);
  }
  const auto before = said.units;
  for (const auto& unit : kept.units) {
    const bool stated =
        std::any_of(before.begin(), before.end(), [&](const auto& other) { return other.first == unit.first; });
    if (!stated) said.units.push_back(unit);
  }
  said.profile = name;
  return said;
}

Result<void> save_curve_profile(const std::string& ledger_path, const std::string& name, const Choices& choices,
                                std::span<const Value> readings) {
  Value profile = Value::object();
  for (const TextMember& one : members) {
    std::optional<std::string> text = choices.*(one.choice);
    const bool settled = std::find(settled_by_file.begin(), settled_by_file.end(), one.name) != settled_by_file.end();
    if (!text && settled) text = common(readings, one.name);
    if (text) profile.set(one.name, *text);
  }
  Value units = Value::list();
  for (const auto& [channel, unit] : choices.units)
    units.push(Value::object().set("channel", channel).set("unit", unit));
  profile.set("units", std::move(units));
  return profiles::save(ledger_path, sort, name, std::move(profile));
}

std::string told(const Choices& choices) {
  std::string out;
  const auto add = [&](const std::string& text) { out += (out.empty() ? "" : ", ") + text; };
  for (const TextMember& one : members) {
    if (const auto& text = choices.*(one.choice)) add(std::string(one.name) + " " + *text);
  }
  for (const auto& [channel, unit] : choices.units) add(channel + "=" + unit);
  return out.empty() ? say("profile.none") : out;
}

}  // namespace trayproof::importer
