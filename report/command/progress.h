// How far a long piece of work is, as one line that is written over: on a terminal only, and gone when the work is.
#pragma once

#include <cstdint>
#include <string>

#include "report/command/context.h"

namespace trayproof::command {

class Progress {
 public:
  // Nothing is shown of less than `least`, with --quiet or --json, or where standard error is no terminal.
  Progress(const Context& context, std::string what, std::int64_t least)
      : context_(context), what_(std::move(what)), least_(least) {}
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress() { clear(); }

  void show(std::int64_t done, std::int64_t whole);
  void now(std::string what);  // another piece of work begins
  void clear();

 private:
  const Context& context_;
  std::string what_;
  std::int64_t least_;
  std::int64_t shown_ = -1;  // per cent
};

}  // namespace trayproof::command
