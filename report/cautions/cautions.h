// The cautions that belong to what is shown: one for each sort of work that can hurt, each once.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace trayproof {

// Of methods of loads and agents of solutions, in any order; the scope of the tool comes last.
std::vector<std::string> cautions_for(const std::vector<std::string>& methods_and_agents);

}  // namespace trayproof
