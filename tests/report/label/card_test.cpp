#include "report/label/card.h"

#include <array>
#include <cstdio>
#include <fstream>

#include "ledger/text/locale.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

// Its words as another program reads them, without what parts them: marks of Devanagari are read with blanks around.
std::string read_from(const Bytes& pdf, const std::string& file) {
  std::ofstream(file, std::ios::binary).write(reinterpret_cast<const char*>(pdf.data()), std::ssize(pdf));
  const std::string command = "pdftotext -layout '" + file + "' -";
  FILE* const pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string out;
  std::array<char, 4096> room{};
  for (std::size_t got = 0; (got = std::fread(room.data(), 1, room.size(), pipe)) > 0;) out.append(room.data(), got);
  REQUIRE(::pclose(pipe) == 0);
  return out;
}

std::string without_blanks(std::string text) {
  for (const std::string_view blank : {" ", "\n", "\f", "\u00A0", "\u202F"}) {
    for (std::size_t at = 0; (at = text.find(blank, at)) != std::string::npos;) text.erase(at, blank.size());
  }
  return text;
}

}  // namespace

TEST_CASE("a card says all of its words in every language and its command in one piece") {
  const tests::Folder folder;
  const auto drawn = *parse_date_time("2026-04-27T06:56:43+05:30");
  for (const LanguageFacts& one : languages()) {
    if (one.language == Language::mirrored) continue;
    CAPTURE(one.tag);
    const Speaking here(one.language);
    const label::CheckpointCard card{.note = "a signed note",
                                     .title = "Invented unit",
                                     .origin = "trayproof/42c46b2275576d9d9e72d938dc27e345",
                                     .size = "2478",
                                     .root = std::string(64, 'a'),
                                     .drawn = time_here(drawn)};
    const auto pdf = label::draw(card, label::Drawing::pdf);
    REQUIRE(pdf.ok());
    const std::string read = read_from(pdf.value(), folder.file("card.pdf"));
    CHECK(read.find("--checkpoint") != std::string::npos);  // in one piece
    const std::string said = without_blanks(read);
    CAPTURE(said);
    CHECK(said.find(without_blanks(say("label.drawn", {{"when", card.drawn}}))) != std::string::npos);
    CHECK(said.find(without_blanks(say("label.use"))) != std::string::npos);
    CHECK(said.find(without_blanks(say("label.use-check"))) != std::string::npos);
    CHECK(said.find("…") == std::string::npos);
  }
}
