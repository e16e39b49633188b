// `tamper_tests` in the time of a test run; `tamper_tests everything` every byte and every cell.
#define DOCTEST_CONFIG_IMPLEMENT
#include <string_view>

#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

namespace {
bool asked_for_everything = false;
}

bool trayproof::tests::everything() { return asked_for_everything; }

int main(int count, char** arguments) {
  for (int i = 1; i < count; ++i) asked_for_everything |= std::string_view(arguments[i]) == "everything";
  doctest::Context context(count, arguments);
  return context.run();
}
