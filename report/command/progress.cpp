#include "report/command/progress.h"

#include <algorithm>

#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::command {
namespace {

constexpr std::int64_t cells = 20;
constexpr std::string_view whole_line = "\r\x1b[K";

}  // namespace

void Progress::show(std::int64_t done, std::int64_t whole) {
  if (!context_.watched || context_.quiet || context_.json || whole < least_ || whole <= 0) return;
  const std::int64_t percent = std::clamp<std::int64_t>(done * 100 / whole, 0, 100);
  if (percent == shown_) return;
  shown_ = percent;
  const auto filled = static_cast<std::size_t>(percent * cells / 100);
  const std::string bar = std::string(filled, '#') + std::string(static_cast<std::size_t>(cells) - filled, '.');
  context_.err << whole_line
               << say("command.progress",
                      {{"bar", bar}, {"percent", std::to_string(percent)}, {"what", shortened(what_, 40)}})
               << std::flush;
}

void Progress::now(std::string what) {
  what_ = std::move(what);
  shown_ = -1;
}

void Progress::clear() {
  if (shown_ < 0) return;
  context_.err << whole_line << std::flush;
  shown_ = -1;
}

}  // namespace trayproof::command
