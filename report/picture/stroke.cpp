#include "report/picture/stroke.h"

#include <cmath>

#include "ledger/base/number.h"

namespace trayproof::picture {
namespace {

constexpr double width_kept = 0.5;

// The readings of one half unit of width, of which at most four are drawn.
class Thinned {
 public:
  explicit Thinned(Stroke& into) : into_(into) {}
  ~Thinned() { flush(); }
  Thinned(const Thinned&) = delete;
  Thinned& operator=(const Thinned&) = delete;

  void add(Place place) {
    const double slot = std::floor(place.x / width_kept);
    if (!held_.empty() && slot != slot_) flush();
    slot_ = slot;
    held_.push_back(place);
  }

 private:
  void flush() {
    std::size_t low = 0;
    std::size_t high = 0;
    for (std::size_t i = 0; i < held_.size(); ++i) {
      if (held_[i].y < held_[low].y) low = i;
      if (held_[i].y > held_[high].y) high = i;
    }
    for (std::size_t i = 0; i < held_.size(); ++i) {
      if (i == 0 || i == low || i == high || i + 1 == held_.size()) into_.push_back(held_[i]);
    }
    held_.clear();
  }

  Stroke& into_;
  Stroke held_;
  double slot_ = 0;
};

}  // namespace

std::vector<Stroke> strokes_of(const Curve& curve, double Moment::*value, const Scale& across, const Scale& up) {
  std::vector<Stroke> strokes;
  std::size_t at = 0;
  while (at < curve.moments.size()) {
    if (std::isnan(curve.moments[at].*value)) {
      ++at;
      continue;
    }
    Stroke stroke;
    {
      Thinned thinned(stroke);
      double before = curve.moments[at].at_s;
      while (at < curve.moments.size()) {
        const Moment& moment = curve.moments[at];
        const bool hole = curve.gap_s > 0 && moment.at_s - before > curve.gap_s;
        if (std::isnan(moment.*value) || hole) break;
        thinned.add({across(moment.at_s), up(moment.*value)});
        before = moment.at_s;
        ++at;
      }
    }
    strokes.push_back(std::move(stroke));
  }
  return strokes;
}

std::string path_of(const Stroke& stroke) {
  std::string out;
  char pen = 'M';
  for (const Place& place : stroke) {
    out += pen;
    out += rounded(place.x, 1) + " " + rounded(place.y, 1);
    pen = 'L';
  }
  // A single reading between two holes would leave no mark.
  if (stroke.size() == 1) out += "h0.1";
  return out;
}

std::string path_of(const std::vector<Stroke>& strokes) {
  std::string out;
  for (const Stroke& stroke : strokes) out += path_of(stroke);
  return out;
}

}  // namespace trayproof::picture
