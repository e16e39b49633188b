#include "ledger/people/pin.h"

#include "tests/support/test.h"

using namespace trayproof::people;

TEST_CASE("a PIN of six characters that nobody guesses will do") {
  for (const char* pin : {"483920", "19370428x", "ward at dawn", "pīnīte", "90210!", "0913572"}) {
    INFO(pin);
    CHECK(!pin_fault(pin, "ana"));
  }
}

TEST_CASE("short and long and unreadable PINs are refused") {
  CHECK(pin_fault("", "ana") == PinFault::too_short);
  CHECK(pin_fault("48392", "ana") == PinFault::too_short);
  CHECK(pin_fault("päöüx", "ana") == PinFault::too_short);
  CHECK(pin_fault(std::string(129, 'x') + "y", "ana") == PinFault::too_long);
  CHECK(pin_fault("4839\xFF"
                  "20",
                  "ana") == PinFault::not_text);
  CHECK(pin_fault("48392\n", "ana") == PinFault::not_text);
}

TEST_CASE("PINs that are guessed first are refused") {
  for (const char* pin : {"000000", "111111", "123456", "654321", "012345", "567890", "098765", "246802", "abcdef",
                          "121212", "123123", "abcabc", "Password", "QWERTY", "147258", "zzzzzzzz"}) {
    INFO(pin);
    const bool plain = pin_fault(pin, "ana") == PinFault::too_plain;
    CHECK(plain == (std::string_view(pin) != "246802"));
  }
}

TEST_CASE("a PIN that is the person's own id is refused") {
  CHECK(pin_fault("mara.k1", "mara.k") == PinFault::is_name);
  CHECK(pin_fault("MARA.K", "mara.kohl") == PinFault::is_name);
  CHECK(!pin_fault("mara77!", "ma"));
}

TEST_CASE("each fault is told in a sentence") {
  for (const PinFault fault :
       {PinFault::too_short, PinFault::too_long, PinFault::not_text, PinFault::too_plain, PinFault::is_name}) {
    CHECK(word(fault).find("PIN") != std::string::npos);
  }
}
