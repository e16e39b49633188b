#include "report/cautions/cautions.h"

#include <algorithm>

#include "ledger/words/words.h"

namespace trayproof {
namespace {

std::string_view caution_of(std::string_view word) {
  if (word == "steam-gravity" || word == "steam-prevacuum" || word == "steaming") return "caution.steam";
  if (word == "dry-heat") return "caution.dry-heat";
  if (word == "thermal-disinfection") return "caution.washer";
  if (word == "boiling") return "caution.boiling";
  if (word == "sodium-hypochlorite" || word == "calcium-hypochlorite" || word == "bleaching-powder")
    return "caution.chlorine";
  if (word == "glutaraldehyde" || word == "ortho-phthalaldehyde") return "caution.glutaraldehyde";
  if (word == "peracetic-acid" || word == "hydrogen-peroxide") return "caution.oxidizer";
  return {};
}

}  // namespace

std::vector<std::string> cautions_for(const std::vector<std::string>& methods_and_agents) {
  std::vector<std::string> texts;
  for (const std::string& word : methods_and_agents) {
    const std::string_view key = caution_of(word);
    if (key.empty()) continue;
    std::string text = say(key);
    if (std::find(texts.begin(), texts.end(), text) == texts.end()) texts.push_back(std::move(text));
  }
  std::sort(texts.begin(), texts.end());
  texts.push_back(say("caution.scope"));
  return texts;
}

}  // namespace trayproof
