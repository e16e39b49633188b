#include "report/picture/draw.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/picture/canvas.h"
#include "report/picture/labels.h"
#include "report/picture/page.h"
#include "report/picture/scale.h"
#include "report/picture/stroke.h"
#include "report/picture/svg_canvas.h"

namespace trayproof::picture {
namespace {

using markup::Element;
using markup::Markup;

struct Range {
  double low = INFINITY;
  double high = -INFINITY;
  void take(double value) {
    if (std::isnan(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  bool any() const { return high >= low; }
};

Range range_of(const Curve& curve, double Moment::*value) {
  Range range;
  for (const Moment& moment : curve.moments) range.take(moment.*value);
  return range;
}

class Drawing {
 public:
  Drawing(const Curve& curve, Canvas& canvas) : curve_(curve), canvas_(canvas) {}

  void run() {
    head();
    if (curve_.moments.size() < 2) {
      line(say("picture.nothing"), type_size);
      return;
    }
    across_ = {.low = curve_.moments.front().at_s,
               .high = std::max(curve_.moments.back().at_s, curve_.moments.front().at_s + 1),
               .from = left_edge,
               .until = right_edge};
    times_ = time_marks(curve_.start, curve_.zone, across_.low, across_.high, 7);
    temperature();
    if (range_of(curve_, &Moment::pressure_kpa_abs).any()) pressure();
    if (curve_.lethal && range_of(curve_, &Moment::lethality).any()) lethality();
    time_axis();
    if (!curve_.source.empty()) {
      for (const std::string& part : wrapped(curve_.source, small_type)) line(part, small_type);
    }
  }
  double height() const { return y_ + 6; }

 private:
  // With a white rim, for names that stand among lines.
  void name_at(const Box& box, std::string_view plain) {
    canvas_.text({box.left, box.top + small_type}, plain, {.size = small_type, .rim = true});
  }
  void line(std::string_view plain, double size) {
    y_ += line_height;
    canvas_.text({8, y_}, plain, {.size = size});
  }
  void rule(Place from, Place until, std::string_view dashes, double width) {
    canvas_.rule(from, until, {.width = width, .dashes = dashes});
  }
  void curve_line(const std::vector<Stroke>& strokes, std::string_view dashes, double width) {
    canvas_.lines(strokes, {.width = width, .dashes = dashes});
  }
  void name(Labels& labels, const std::vector<Stroke>& strokes, std::string_view plain, std::vector<Stroke> others,
            const std::vector<Stroke>& more = {}) {
    others.insert(others.end(), more.begin(), more.end());
    name_at(labels.beside(strokes, others, text_width(plain, small_type), small_type + 3), plain);
  }

  void head() {
    for (const std::string& part : wrapped(curve_.title, type_size * 1.1)) {
      y_ += line_height;
      canvas_.text({8, y_}, part, {.size = type_size, .bold = true});
    }
    for (const std::string& one : curve_.lines) {
      for (const std::string& part : wrapped(one, small_type)) line(part, small_type);
    }
  }

  // A frame with its title above, its figures beside it and light lines at the round times.
  Scale panel(std::string_view title, double height, double low, double high, double head_room) {
    y_ += line_height + 4;
    canvas_.text({8, y_}, title, {.size = small_type});
    y_ += 6;
    area_ = {.left = left_edge, .top = y_, .width = right_edge - left_edge, .height = height};
    const Scale up{.low = low, .high = high, .from = area_.top + height, .until = area_.top + head_room};
    for (const TimeMark& mark : times_) {
      rule({across_(mark.at_s), area_.top}, {across_(mark.at_s), area_.top + height}, "1 4", 0.5);
    }
    for (const double value : round_marks(low, high, height > 120 ? 7 : 4)) {
      rule({left_edge - 4, up(value)}, {left_edge, up(value)}, "", 0.8);
      canvas_.text({left_edge - 6, up(value) + 4}, number_here(value, 2), {.size = small_type, .ends_here = true});
    }
    canvas_.frame(area_, 0.8);
    y_ += height;
    return up;
  }

  void temperature() {
    Range range = range_of(curve_, &Moment::cold_c);
    for (const auto value : {&Moment::hot_c, &Moment::saturation_c}) {
      const Range more = range_of(curve_, value);
      if (more.any()) {
        range.take(more.low);
        range.take(more.high);
      }
    }
    if (curve_.set_c) range.take(*curve_.set_c);
    if (curve_.band_top_c) range.take(*curve_.band_top_c);
    if (!range.any()) return;
    const double head_room = curve_.hold ? 24 : 6;
    const Scale up = panel(say("picture.temperature"), 200, std::floor(range.low / 10) * 10, range.high + 1, head_room);
    Labels labels(area_);
    labels.keep_clear(Box{area_.left, area_.top, area_.width, head_room - 4});
    band(up, labels);
    beyond_saturation(up);
    const auto cold = strokes_of(curve_, &Moment::cold_c, across_, up);
    const auto saturation = strokes_of(curve_, &Moment::saturation_c, across_, up);
    labels.keep_clear(cold);
    labels.keep_clear(saturation);
    std::vector<Stroke> hot;
    if (curve_.several_channels) hot = strokes_of(curve_, &Moment::hot_c, across_, up);
    labels.keep_clear(hot);
    curve_line(hot, "", 0.7);
    curve_line(saturation, "6 3", 1);
    curve_line(cold, "", 1.8);
    hold(up);
    labels.keep_clear(hold_edges(up));
    band_names(up, labels);
    name(labels, cold, say(curve_.several_channels ? "picture.coldest" : "picture.measured"), saturation, hot);
    if (!saturation.empty()) name(labels, saturation, say("picture.saturation"), cold, hot);
    if (!hot.empty()) name(labels, hot, say("picture.hottest"), cold, saturation);
  }

  Stroke level(const Scale& up, double value) const { return {{area_.left, up(value)}, {right_edge, up(value)}}; }

  // From the set temperature to the top of the band.
  void band(const Scale& up, Labels& labels) {
    if (!curve_.set_c) return;
    if (curve_.band_top_c) {
      const double top_y = up(*curve_.band_top_c);
      canvas_.shade({area_.left, top_y, area_.width, up(*curve_.set_c) - top_y}, 0.1);
    }
    for (const auto& value : {curve_.band_top_c, curve_.set_c}) {
      if (!value) continue;
      const Stroke stroke = level(up, *value);
      rule(stroke.front(), stroke.back(), "2 2", 0.9);
      labels.keep_clear({stroke});
    }
  }

  // Their figures, as far right as no line runs through them.
  void band_names(const Scale& up, Labels& labels) {
    const auto name_level = [&](const std::optional<double>& value, std::string_view key, Labels::Side side) {
      if (!value || !curve_.set_c) return;
      const std::string plain = say(key, {{"c", number_here(*value, 1)}});
      name_at(labels.along(level(up, *value), text_width(plain, small_type), small_type + 3, side), plain);
    };
    name_level(curve_.band_top_c, "picture.band-top", Labels::Side::above);
    name_level(curve_.set_c, "picture.set", Labels::Side::below);
  }

  // Where the hold parts from saturated steam by more than the limit, what lies between the two lines is shaded.
  void beyond_saturation(const Scale& up) {
    if (!curve_.hold || !curve_.saturation_limit_k) return;
    Stroke measured;
    Stroke saturated;
    const auto close = [&] {
      if (measured.size() > 1) {
        std::reverse(saturated.begin(), saturated.end());
        measured.insert(measured.end(), saturated.begin(), saturated.end());
        canvas_.shade(measured, 0.35);
      }
      measured.clear();
      saturated.clear();
    };
    for (const Moment& moment : curve_.moments) {
      const bool inside = moment.at_s >= curve_.hold->from_s && moment.at_s <= curve_.hold->until_s;
      const double low = moment.cold_c - moment.saturation_c;
      const double high = moment.hot_c - moment.saturation_c;
      const bool air = low < -*curve_.saturation_limit_k;
      if (!inside || !(air || high > *curve_.saturation_limit_k)) {
        close();
        continue;
      }
      const double measured_c = air ? moment.cold_c : moment.hot_c;
      measured.push_back({across_(moment.at_s), up(measured_c)});
      saturated.push_back({across_(moment.at_s), up(moment.saturation_c)});
    }
    close();
  }

  void hold(const Scale& up) {
    if (!curve_.hold) return;
    const double from = across_(curve_.hold->from_s);
    const double until = across_(curve_.hold->until_s);
    const double y = area_.top + 18;
    rule({from, y - 4}, {from, up.from}, "", 0.7);
    rule({until, y - 4}, {until, up.from}, "", 0.7);
    rule({from, y}, {until, y}, "", 0.7);
    const std::string plain = say("picture.hold", {{"minutes", number_here(curve_.hold->minutes, 2)}});
    const double width = text_width(plain, small_type);
    const double left = std::clamp((from + until) / 2 - width / 2, left_edge + 2, right_edge - width - 2);
    name_at({left, y - small_type - 4, width, small_type}, plain);
  }

  void pressure() {
    const Range range = range_of(curve_, &Moment::pressure_kpa_abs);
    const double low = range.low < 50 ? 0 : std::floor(range.low / 50) * 50;
    const Scale up = panel(say("picture.pressure", {{"read", curve_.pressure_as_read}}), 80, low, range.high + 5, 6);
    curve_line(strokes_of(curve_, &Moment::pressure_kpa_abs, across_, up), "", 1.3);
    draw_hold_edges(up);
  }

  void lethality() {
    const Lethal& lethal = *curve_.lethal;
    const Range range = range_of(curve_, &Moment::lethality);
    const double high = std::max({range.high, lethal.least.value_or(0), 1e-3}) * 1.08;
    const std::string title =
        say("picture.lethality",
            {{"name", lethal.name}, {"unit", lethal.unit}, {"reference", number_here(lethal.reference_c, 2)}});
    const Scale up = panel(title, 60, 0, high, 4);
    const auto strokes = strokes_of(curve_, &Moment::lethality, across_, up);
    curve_line(strokes, "", 1.3);
    draw_hold_edges(up);
    if (!lethal.least) return;
    const Stroke least = level(up, *lethal.least);
    rule(least.front(), least.back(), "2 2", 0.9);
    Labels labels(area_);
    labels.keep_clear(strokes);
    labels.keep_clear(hold_edges(up));
    labels.keep_clear({least});
    const std::string plain = say("picture.least", {{"value", number_here(*lethal.least, 1)}, {"unit", lethal.unit}});
    name_at(labels.along(least, text_width(plain, small_type), small_type + 3, Labels::Side::above), plain);
  }

  // From the top of the panel to its foot, where the hold begins and where it ends.
  std::vector<Stroke> hold_edges(const Scale& up) const {
    std::vector<Stroke> edges;
    if (!curve_.hold) return edges;
    for (const double at_s : {curve_.hold->from_s, curve_.hold->until_s})
      edges.push_back({{across_(at_s), area_.top}, {across_(at_s), up.from}});
    return edges;
  }
  void draw_hold_edges(const Scale& up) {
    for (const Stroke& edge : hold_edges(up)) rule(edge.front(), edge.back(), "", 0.7);
  }

  void time_axis() {
    for (const TimeMark& mark : times_) {
      const double x = across_(mark.at_s);
      rule({x, y_}, {x, y_ + 4}, "", 0.8);
      const double width = text_width(mark.text, small_type);
      const double left = std::clamp(x - width / 2, left_edge - 20, right_edge - width + 8);
      canvas_.text({left, y_ + 15}, mark.text, {.size = small_type});
    }
    y_ += 16;
    if (!curve_.start) return line(say("picture.elapsed"), small_type);
    const DateTime local = curve_.zone.local({curve_.start->ms + static_cast<std::int64_t>(across_.low * 1000)});
    const std::string whole = format_date_time(local);
    const std::string offset = whole.substr(whole.size() - 6);
    line(say("picture.time", {{"date", day_here(civil_of(local.instant, local.offset_minutes).date)},
                              {"zone", curve_.zone.name()},
                              {"offset", offset}}),
         small_type);
  }

  const Curve& curve_;
  Canvas& canvas_;
  double y_ = 0;
  Scale across_;
  Box area_;
  std::vector<TimeMark> times_;
};

}  // namespace

std::string in_words(const Curve& curve) {
  std::string out = curve.title;
  for (const std::string& one : curve.lines) out += ". " + one;
  return out;
}

double draw_on(Canvas& canvas, const Curve& curve) {
  Drawing drawing(curve, canvas);
  drawing.run();
  return drawing.height();
}

Markup draw(const Curve& curve) {
  SvgCanvas canvas;
  const double height = draw_on(canvas, curve);
  return svg_of(height)
      .with("class", "curve")
      .with("aria-label", in_words(curve))
      .inside(white_paper(height))
      .inside(canvas.group())
      .markup();
}

std::string svg_file(const std::vector<Curve>& curves) {
  Markup all;
  std::string words;
  double height = 0;
  for (const Curve& curve : curves) {
    SvgCanvas canvas;
    const double drawn = draw_on(canvas, curve);
    all.add(Element("g").with("transform", "translate(0 " + rounded(height, 1) + ")").inside(canvas.group()).markup());
    height += drawn + line_height;
    words += (words.empty() ? "" : ". ") + in_words(curve);
  }
  return svg_page(height, words, all);
}

}  // namespace trayproof::picture
