#include "ledger/people/pin.h"

#include <algorithm>

#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::people {
namespace {

constexpr std::size_t characters_min = 6;
constexpr std::size_t bytes_max = 128;

std::string lowered(std::string_view text) {
  std::string out(text);
  for (char& one : out) {
    if (one >= 'A' && one <= 'Z') one = static_cast<char>(one - 'A' + 'a');
  }
  return out;
}

// 111111, 123456, 987654, abcdef, 2468ac: one step all the way, a step of 9 back to 0 included.
bool is_run(std::string_view pin) {
  const auto step_of = [&](std::size_t i) {
    const int step = static_cast<unsigned char>(pin[i]) - static_cast<unsigned char>(pin[i - 1]);
    if (pin[i - 1] == '9' && pin[i] == '0') return 1;
    if (pin[i - 1] == '0' && pin[i] == '9') return -1;
    return step;
  };
  const int first = step_of(1);
  if (first < -2 || first > 2) return false;
  for (std::size_t i = 2; i < pin.size(); ++i) {
    if (step_of(i) != first) return false;
  }
  return true;
}

// 121212, 123123, abcabc.
bool is_repeated(std::string_view pin) {
  for (std::size_t piece = 1; piece <= pin.size() / 2; ++piece) {
    if (pin.size() % piece != 0) continue;
    bool same = true;
    for (std::size_t i = piece; i < pin.size() && same; ++i) same = pin[i] == pin[i - piece];
    if (same) return true;
  }
  return false;
}

// From memory: what lists of stolen PINs and passwords begin with.
bool is_much_used(std::string_view pin) {
  static constexpr std::string_view known[] = {"password", "passwort", "qwerty",    "qwertz",   "azerty", "letmein",
                                               "welcome",  "159753",   "147258",    "147852",   "258369", "112233",
                                               "102030",   "123321",   "password1", "iloveyou", "admin1", "secret"};
  return std::find(std::begin(known), std::end(known), pin) != std::end(known);
}

}  // namespace

std::optional<PinFault> pin_fault(std::string_view pin, std::string_view person) {
  if (pin.size() > bytes_max) return PinFault::too_long;
  if (first_bad_utf8(pin)) return PinFault::not_text;
  if (std::any_of(pin.begin(), pin.end(),
                  [](char one) { return static_cast<unsigned char>(one) < 0x20 || one == 0x7F; }))
    return PinFault::not_text;
  if (code_points(pin) < characters_min) return PinFault::too_short;
  const std::string plain = lowered(pin);
  const std::string name = lowered(person);
  if (is_run(plain) || is_repeated(plain) || is_much_used(plain)) return PinFault::too_plain;
  constexpr std::size_t name_bytes_min = 4;  // a shorter id stands in many good PINs
  if (name.size() >= name_bytes_min && (plain.find(name) != std::string::npos || name.find(plain) != std::string::npos))
    return PinFault::is_name;
  return std::nullopt;
}

std::string word(PinFault fault) {
  switch (fault) {
    case PinFault::too_short:
      return say("people.pin-short");
    case PinFault::too_long:
      return say("people.pin-long");
    case PinFault::not_text:
      return say("people.pin-text");
    case PinFault::too_plain:
      return say("people.pin-plain");
    case PinFault::is_name:
      return say("people.pin-name");
  }
  return {};
}

}  // namespace trayproof::people
