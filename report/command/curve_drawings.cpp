#include "report/command/curve_drawings.h"

#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/words/words.h"
#include "report/picture/draw.h"
#include "report/picture/of_cycle.h"
#include "report/picture/terminal.h"

namespace trayproof::command {
namespace {

constexpr std::size_t sketched_most = 20;
constexpr std::size_t plotted_most = 100;
constexpr std::size_t moments_most = 200'000;               // of all drawings together
constexpr std::int64_t short_file = std::int64_t{4} << 20;  // whose rows may all lie in memory

Result<Bytes> all_of(reading::Source& source) {
  TRY(source.rewind());
  Bytes out;
  while (true) {
    TRY_LET(const ByteView part, source.next(std::size_t{1} << 18));
    if (part.empty()) return out;
    out.insert(out.end(), part.begin(), part.end());
  }
}

}  // namespace

void CurveDrawings::begin() {
  curves_.clear();
  moments_ = left_out_ = 0;
}

void CurveDrawings::cycle(const judging::Series& series, const importer::Cycle& cycle) {
  if (use_ == For::nothing) return;
  const std::size_t most = use_ == For::plot ? plotted_most : sketched_most;
  if (left_out_ > 0 || curves_.size() == most || moments_ >= moments_most) {
    ++left_out_;
    return;
  }
  curves_.push_back(picture::of_cycle(series, cycle, picture::edition_of(editions_, cycle), zone_));
  moments_ += curves_.back().moments.size();
}

Result<void> CurveDrawings::finish(const importer::Import& import, reading::Source& source,
                                   const importer::Choices& choices, const importer::Surroundings& around) {
  if (use_ == For::nothing) return {};
  for (std::size_t i = 0; i < curves_.size() && i < import.cycles.size(); ++i)
    picture::tell_again(curves_[i], import.cycles[i]);
  if (import.cycles.empty() && import.bytes <= short_file) {
    TRY_LET(const Bytes bytes, all_of(source));
    curves_ = picture::of_import(importer::read_and_judge(bytes, choices, around), editions_, zone_);
  }
  for (picture::Curve& one : curves_) picture::name_source(one, import);
  return {};
}

Result<void> CurveDrawings::show(const Context& context, const std::optional<std::string>& plot) const {
  if (context.terminal_columns > 0 && !context.json && !context.quiet) {
    for (std::size_t i = 0; i < curves_.size() && i < sketched_most; ++i) {
      context.line("  " + curves_[i].title);
      for (const std::string& line : picture::sketch(curves_[i], std::min(context.terminal_columns, 100)))
        context.line(line);
    }
  }
  if (plot) {
    TRY(write_new_file(*plot, as_bytes(picture::svg_file(curves_)), FileMode::shared));
    context.tell(say("command.plot-written", {{"file", *plot}, {"count", std::to_string(curves_.size())}}));
  }
  if (left_out_ > 0) context.tell(say("command.not-drawn", {{"count", std::to_string(left_out_)}}));
  return {};
}

}  // namespace trayproof::command
