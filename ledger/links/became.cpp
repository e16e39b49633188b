#include "ledger/links/became.h"

#include <tuple>

namespace trayproof::links {
namespace {

auto order_of(const PackEvent& event) { return std::pair(event.ms, event.origin); }

void keep_later(const PackEvent*& kept, const PackEvent& event) {
  if (kept == nullptr || order_of(*kept) < order_of(event)) kept = &event;
}

int rank(const Became& became) {
  if (became.standing == "used") return 4;
  if (became.standing == "opened") return 3;
  if (became.standing == "withdrawn") return 2;
  return became.standing == "held" ? 0 : 1;
}

}  // namespace

Became became_of(const std::vector<const PackEvent*>& events) {
  const PackEvent* used = nullptr;
  const PackEvent* opened = nullptr;
  const PackEvent* withdrawn = nullptr;
  const PackEvent* moved = nullptr;
  for (const PackEvent* event : events) {
    const bool returned = event->kind == "pack-returned";
    if (event->kind == "procedure-done") {
      keep_later(used, *event);
    } else if (event->kind == "pack-opened" || (returned && event->state == "opened")) {
      keep_later(opened, *event);
    } else if (event->kind == "pack-withdrawn") {
      keep_later(withdrawn, *event);
    } else if (!returned || event->state == "closed") {
      keep_later(moved, *event);
    }
  }
  const PackEvent* deciding = used != nullptr        ? used
                              : opened != nullptr    ? opened
                              : withdrawn != nullptr ? withdrawn
                                                     : moved;
  if (deciding == nullptr) return {};
  const char* standing = deciding == used                  ? "used"
                         : deciding == opened              ? "opened"
                         : deciding == withdrawn           ? "withdrawn"
                         : deciding->kind == "pack-issued" ? "issued"
                                                           : "shelf";
  return {standing, deciding->seq, deciding->ms, deciding->place};
}

const Became& stronger(const Became& a, const Became& b) {
  if (rank(a) != rank(b)) return rank(a) < rank(b) ? b : a;
  return std::tie(a.ms, a.seq) < std::tie(b.ms, b.seq) ? b : a;
}

}  // namespace trayproof::links
