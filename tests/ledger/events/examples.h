// The smallest event of every kind that the format takes.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace trayproof::tests {

struct Example {
  std::string_view kind;
  std::string_view body;  // members beside kind, at and by
};

std::span<const Example> examples();
// The whole event: {"kind":…,"at":…,"by":…, body}.
std::string whole(const Example& example);

}  // namespace trayproof::tests
