#include "report/paper/curve_pictures.h"

#include <algorithm>

#include "report/paper/png.h"
#include "report/picture/draw.h"
#include "report/picture/kept_curve.h"

namespace trayproof::paper {
namespace {

// A page holds two; thirty pages are what somebody may look through, and some three megabytes.
constexpr std::size_t pictures_drawn = 60;

// A load of the book with one of its curves.
struct Wanted {
  const workbook::LoadRow* load = nullptr;
  std::int64_t curve = 0;
};

Result<std::vector<Wanted>> wanted_of(links::Links& tables, const workbook::Facts& facts) {
  TRY_LET(auto curves, tables.database().prepare("SELECT curve FROM curves WHERE load = ? ORDER BY curve"));
  std::vector<Wanted> wanted;
  for (const workbook::LoadRow& load : facts.loads) {
    if (load.verdict.empty()) continue;
    curves.reset();
    curves.bind(1, load.load);
    for (;;) {
      TRY_LET(const bool more, curves.step());
      if (!more) break;
      wanted.push_back({&load, curves.integer(0)});
    }
  }
  return wanted;
}

int grave(const workbook::LoadRow& load) {
  if (load.verdict == "not-reached") return 0;
  if (load.verdict == "cannot-tell") return 1;
  return load.gaps.empty() ? 3 : 2;
}

}  // namespace

Result<void> put_pictures(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                          workbook::Facts& facts) {
  TRY_LET(auto wanted, wanted_of(tables, facts));
  std::stable_sort(wanted.begin(), wanted.end(),
                   [](const Wanted& a, const Wanted& b) { return grave(*a.load) < grave(*b.load); });
  const std::size_t drawn = std::min(wanted.size(), pictures_drawn);
  facts.pictures_left_out = static_cast<std::int64_t>(wanted.size() - drawn);
  wanted.resize(drawn);
  std::stable_sort(wanted.begin(), wanted.end(), [](const Wanted& a, const Wanted& b) { return a.load < b.load; });
  std::vector<std::int64_t> curves;
  for (const Wanted& one : wanted) curves.push_back(one.curve);
  TRY_LET(const auto kept, picture::kept_curves(ledger, tables, editions, curves));
  for (std::size_t i = 0; i < kept.size(); ++i) {
    // A file that was removed on request leaves the judgement and takes the picture.
    if (!kept[i].curve) continue;
    TRY_LET(auto png, png_of(*kept[i].curve));
    facts.pictures.push_back({.load = wanted[i].load->load,
                              .verdict = wanted[i].load->verdict,
                              .caption = picture::in_words(*kept[i].curve),
                              .png = std::move(png.bytes),
                              .pixels_a_unit = pixels_a_unit});
  }
  return {};
}

}  // namespace trayproof::paper
