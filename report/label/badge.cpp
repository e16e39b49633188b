#include "report/label/badge.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/label/lettering.h"
#include "report/label/sheet.h"

namespace trayproof::label {
namespace {

constexpr double margin = 4 * mm;
constexpr double code_side = 30 * mm;

void draw_badge(cairo_t* pen, const Badge& badge, const QrCode& code) {
  draw_code(pen, code, {margin, margin + 4, code_side});
  const double x = margin + code_side + 6;
  Column beside(pen, {x, margin, cell_width - x - margin});
  beside.line(badge.facility, {"sans", 7}, 0, 2);
  beside.line(badge.name.empty() ? badge.person : badge.name, {"sans bold", 15}, 6, 3);
  beside.line(badge.person, {"monospace", 10}, 2, 1);
  beside.line(badge.roles, {"sans", 8}, 2, 2);
  Column under(pen, {margin, cell_height - margin - 18, cell_width - 2 * margin});
  under.whole(say("label.badge-use"), {"sans", 6.5}, 0, 2);
}

Badge badge_of(const PersonHere& person, const std::string& facility) {
  Badge badge{.facility = facility, .person = person.id, .name = person.name};
  for (const std::string& role : person.roles)
    badge.roles += (badge.roles.empty() ? "" : ", ") + say("form.choice-" + role);
  return badge;
}

}  // namespace

Result<std::vector<Badge>> badges_of(const Ledger& ledger, std::span<const std::string> persons,
                                     const std::string& facility) {
  TRY_LET(const auto here, people_here(ledger));
  std::vector<Badge> badges;
  for (const std::string& person : persons) {
    const auto found = std::find_if(here.begin(), here.end(), [&](const PersonHere& one) { return one.id == person; });
    if (found == here.end()) return Error(ErrorCode::missing, say("label.badge-unknown", {{"person", person}}));
    badges.push_back(badge_of(*found, facility));
  }
  if (persons.empty()) {
    for (const PersonHere& one : here) badges.push_back(badge_of(one, facility));
  }
  if (badges.empty()) return Error(ErrorCode::missing, say("label.badge-nobody"));
  return badges;
}

Result<Bytes> draw(std::span<const Badge> badges, Layout layout, Drawing drawing, Instant created) {
  std::vector<QrCode> codes;
  for (const Badge& badge : badges) {
    TRY_LET(auto code, qr_of(badge.person));
    codes.push_back(std::move(code));
  }
  const Cells cells{.count = badges.size(),
                    .layout = layout,
                    .drawing = drawing,
                    .created = created,
                    .title = say("label.badge-title")};
  return draw_cells(cells, [&](cairo_t* pen, std::size_t cell) { draw_badge(pen, badges[cell], codes[cell]); });
}

}  // namespace trayproof::label
