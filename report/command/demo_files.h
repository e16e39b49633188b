// The invented maternity unit of samples/facility, embedded: its events and five logger exports.
#pragma once

#include <span>
#include <string_view>

namespace trayproof::command {

std::string_view demo_events();  // JSON lines

struct DemoExport {
  std::string_view file;
  std::string_view equipment;
  std::string_view logger;
  std::string_view bytes;
};
std::span<const DemoExport> demo_exports();

}  // namespace trayproof::command
