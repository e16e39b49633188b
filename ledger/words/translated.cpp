#include "ledger/words/translated.h"

#include <boost/locale/gnu_gettext.hpp>
#include <locale>
#include <string>
#include <unordered_map>

#include "ledger/base/check.h"
#include "ledger/base/embed.h"
#include "ledger/words/words.h"

TRAYPROOF_EMBED("trayproof_words_es", TRAYPROOF_TRANSLATIONS "/es.mo");
TRAYPROOF_EMBED("trayproof_words_fr", TRAYPROOF_TRANSLATIONS "/fr.mo");
TRAYPROOF_EMBED("trayproof_words_hi", TRAYPROOF_TRANSLATIONS "/hi.mo");
TRAYPROOF_EMBED("trayproof_words_sw", TRAYPROOF_TRANSLATIONS "/sw.mo");

extern "C" {
extern const char trayproof_words_es[];
extern const char trayproof_words_es_end[];
extern const char trayproof_words_fr[];
extern const char trayproof_words_fr_end[];
extern const char trayproof_words_hi[];
extern const char trayproof_words_hi_end[];
extern const char trayproof_words_sw[];
extern const char trayproof_words_sw_end[];
}

namespace trayproof {
namespace {

using Texts = std::unordered_map<std::string_view, std::string>;

Texts read(const char* begin, const char* end, std::string_view tag) {
  namespace gettext = boost::locale::gnu_gettext;
  gettext::messages_info info;
  info.language = std::string(tag);
  info.encoding = "UTF-8";
  info.domains.emplace_back("trayproof");
  info.paths.emplace_back("");
  info.callback = [&](const std::string&, const std::string&) { return std::vector<char>(begin, end); };
  const std::locale with_texts(std::locale::classic(), gettext::create_messages_facet<char>(info));
  CHECK(std::has_facet<boost::locale::message_format<char>>(with_texts));
  const auto& facet = std::use_facet<boost::locale::message_format<char>>(with_texts);
  Texts texts;
  for (const auto part : catalogue()) {
    for (const Word& word : part) {
      const std::string key(word.key);
      const std::string english(word.text);
      const char* text = facet.get(0, key.c_str(), english.c_str());
      if (text != nullptr && *text != '\0') texts.emplace(word.key, text);
    }
  }
  return texts;
}

// Read right to left by Unicode's overriding marks, whatever the places bring; lines each for themselves.
Texts mirrored() {
  Texts texts;
  for (const auto part : catalogue()) {
    for (const Word& word : part) {
      std::string text = "\u202E";
      for (const char c : word.text) text += c == '\n' ? std::string("\u202C\n\u202E") : std::string(1, c);
      texts.emplace(word.key, text + "\u202C");
    }
  }
  return texts;
}

const Texts& texts_of(Language language) {
  switch (language) {
    case Language::english:
      break;
    case Language::spanish: {
      static const Texts texts = read(trayproof_words_es, trayproof_words_es_end, "es");
      return texts;
    }
    case Language::french: {
      static const Texts texts = read(trayproof_words_fr, trayproof_words_fr_end, "fr");
      return texts;
    }
    case Language::hindi: {
      static const Texts texts = read(trayproof_words_hi, trayproof_words_hi_end, "hi");
      return texts;
    }
    case Language::swahili: {
      static const Texts texts = read(trayproof_words_sw, trayproof_words_sw_end, "sw");
      return texts;
    }
    case Language::mirrored: {
      static const Texts texts = mirrored();
      return texts;
    }
  }
  static const Texts none;
  return none;
}

}  // namespace

std::string_view translated(Language language, std::string_view key) {
  const Texts& texts = texts_of(language);
  const auto found = texts.find(key);
  return found == texts.end() ? std::string_view() : std::string_view(found->second);
}

}  // namespace trayproof
