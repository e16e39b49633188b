#include <algorithm>

#include "report/answers/question.h"

namespace trayproof::answers {

std::span<const Question> questions() {
  static const std::vector<Question> all = [] {
    std::vector<Question> made;
    for (auto family :
         {use_questions(), pack_questions(), load_questions(), indicator_questions(), solution_questions(),
          equipment_questions(), people_questions(), record_questions(), chart_questions()}) {
      made.insert(made.end(), family.begin(), family.end());
    }
    return made;
  }();
  return all;
}

const Question* find_question(std::string_view id) {
  const auto all = questions();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Question& one) { return one.id == id; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace trayproof::answers
