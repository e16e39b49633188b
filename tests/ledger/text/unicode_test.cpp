#include "ledger/text/unicode.h"

#include "tests/support/test.h"

using namespace trayproof;

// Unicode Standard Annex 15, figure 3 and the composition exclusions.
TEST_CASE("text is brought to NFC") {
  CHECK_EQ(nfc("A\u030A"), "\u00C5");
  CHECK_EQ(nfc("\u212B"), "\u00C5");              // the angstrom sign is a letter with a ring
  CHECK_EQ(nfc("\u1E0D\u0307"), "\u1E0D\u0307");  // already composed as far as it goes
  CHECK_EQ(nfc("s\u0307\u0323"), "\u1E69");
  CHECK_EQ(nfc("\u0958"), "\u0915\u093C");  // excluded from composition
  CHECK_EQ(nfc("\u1100\u1161"), "\uAC00");  // Hangul
  CHECK_EQ(nfc("plain"), "plain");
  CHECK_EQ(nfc("\uFB01"), "\uFB01");  // a ligature is compatible and not canonical
}

TEST_CASE("letters of any script make ids and marks that turn the direction of text do not") {
  for (const char32_t c : {U'a', U'é', U'क', U'\u093F', U'ا', U'你', U'\u200D', U'\u200C', U'٣'})
    CHECK(is_id_letter(c));
  for (const char32_t c : {U' ', U'€', U'—', U'\u202E', U'\u00A0', U'😂', U'\u200B', U'\uFEFF'}) CHECK(!is_id_letter(c));
  for (const char32_t c :
       {U'\u202A', U'\u202B', U'\u202C', U'\u202D', U'\u202E', U'\u2066', U'\u2067', U'\u2068', U'\u2069'}) {
    CHECK(is_direction_mark(c));
  }
  CHECK(is_control(0x7F));
  CHECK(is_control(0x85));
  CHECK(!is_control(0xA0));
}
