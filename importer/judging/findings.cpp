#include "importer/judging/findings.h"

#include <algorithm>
#include <array>

#include "ledger/base/check.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::judging {
namespace {

constexpr std::array<FindingKind, 28> kinds = {{
    {"hold-too-short", Weight::not_reached},
    {"temperature-not-reached", Weight::not_reached},
    {"no-program", Weight::not_reached},
    {"steam-not-saturated-air", Weight::not_reached},
    {"steam-not-saturated-superheat", Weight::not_reached},
    {"lethality-low", Weight::not_reached},
    {"a0-low", Weight::not_reached},
    {"dry-heat-pair-missed", Weight::not_reached},
    {"hold-between-samples", Weight::cannot_tell},
    {"lethality-between-samples", Weight::cannot_tell},
    {"a0-between-samples", Weight::cannot_tell},
    {"pressure-not-absolute", Weight::cannot_tell},
    {"hold-with-holes", Weight::cannot_tell},
    {"channel-lost", Weight::cannot_tell},
    {"sensor-frozen", Weight::cannot_tell},
    {"stamps-conflict", Weight::cannot_tell},
    {"no-sop", Weight::cannot_tell},
    {"no-limit", Weight::cannot_tell},
    {"cold-method", Weight::cannot_tell},
    {"curve-with-holes", Weight::told},
    {"temperature-below-band", Weight::told},
    {"temperature-above-band", Weight::told},
    {"channels-disagree", Weight::told},
    {"sensor-flat", Weight::told},
    {"slope-impossible", Weight::told},
    {"stamps-backward", Weight::told},
    {"clock-off", Weight::told},
    {"curve-repeated", Weight::told},
}};

// Which curve it is that another repeats.
std::string twin(const json::Value& value) {
  const auto number = [&](std::string_view name) { return number_here(value.number_at(name).value_or(0), 0); };
  if (!value.number_at("curve")) return say("importer.twin-part", {{"part", number("part")}});
  if (const auto load = value.text_at("load"))
    return say("importer.twin-load", {{"load", *load}, {"curve", number("curve")}});
  return say("importer.twin-curve", {{"curve", number("curve")}});
}

std::string spoken(const json::Value& value) {
  if (value.is_number()) return number_here(value.number(), 2);
  if (value.is_text()) return value.text();
  if (value.is_object()) return twin(value);
  return value.is_null() ? "" : json::plain(value);
}

}  // namespace

std::span<const FindingKind> finding_kinds() { return kinds; }

Weight weight_of(std::string_view what) {
  const auto found =
      std::find_if(kinds.begin(), kinds.end(), [&](const FindingKind& kind) { return kind.what == what; });
  CHECK(found != kinds.end());
  return found->weight;
}

std::string sentence(const Finding& finding) {
  return say("importer.finding." + finding.what, {{"limit", spoken(finding.limit)}, {"found", spoken(finding.found)}});
}

std::string_view verdict_of(const std::vector<Finding>& findings) {
  Weight heaviest = Weight::told;
  for (const Finding& finding : findings) heaviest = std::max(heaviest, weight_of(finding.what));
  return heaviest == Weight::told ? "reached" : heaviest == Weight::cannot_tell ? "cannot-tell" : "not-reached";
}

}  // namespace trayproof::judging
