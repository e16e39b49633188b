#include "report/label/short_code.h"

#include <doctest/doctest.h>

using namespace trayproof::label;

TEST_CASE("a check digit is that of ISO/IEC 7064 with moduli 11 and 10") {
  // Values of python3-stdnum 1.18, stdnum.iso7064.mod_11_10: its documentation's 79462 has 3.
  CHECK(check_digit("79462") == '3');
  // Two national numbers that use the system, valid in the same library's documentation (stdnum.hr.oib, stdnum.de.idnr).
  CHECK(check_digit("3339200596") == '1');
  CHECK(check_digit("3657426180") == '9');
}

TEST_CASE("a short code is read back and a wrong one is none") {
  for (const std::int64_t seq : {1, 7, 10, 412, 79462, 4000000}) CHECK(seq_of_code(short_code(seq)) == seq);
  CHECK(short_code(79462) == "79462-3");
  CHECK(seq_of_code("79462 3") == 79462);
  for (const char* none : {"", "-", "3", "-3", "79462-4", "79463-3", "794623", "079462-3", "79462-33", "x-3",
                           "+79462-3", "79462_3", "99999999999999999999-1"}) {
    CAPTURE(none);
    CHECK_FALSE(seq_of_code(none).has_value());
  }
}
