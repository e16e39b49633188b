#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> people() {
  static constexpr Word words[] = {
      {"people.no-memory", "the PIN could not be worked on: {kib} KiB of memory are not to be had now"},
      {"people.no-key-file", "nobody can sign in here: the key file is missing"},
      {"people.no-key", "{person} has no key here; `person pin {person}` makes one, `person list` shows who has"},
      {"people.pin-wrong", "that is not the PIN of {person}"},
      {"people.pin-wait", "too many wrong PINs for {person}: the next one is looked at in {seconds} s"},
      {"people.key-not-in-force",
       "the key of {owner} was retired and signs nothing any more; nothing was taken. Sign in again, or open the ledger again"},

      {"people.no-such-key", "no key {key} is in force here; `key list` shows all"},
      {"people.rotate-instead",
       "this is the {sort} key that the program itself works with; `key rotate` puts another in its place and retires this one"},

      {"people.never", "a countersignature of seq {seq} by this person would never count: {why}"},
      {"people.never-not-a-person", "the key belongs to no person"},
      {"people.never-did-it", "{person} did it, and a second person must be somebody else"},
      {"people.never-entered-it", "this person entered and signed it, and a second person must be somebody else"},
      {"people.never-another-named", "the entry names {second} as its second person"},
      {"people.never-stolen", "this key was reported stolen"},
      {"people.never-countersigned", "seq {seq} is itself a countersignature and needs no second person"},
      {"people.countersigned-already", "{person} has countersigned seq {seq} already (seq {by}); nothing was taken"},
  };
  return words;
}

}  // namespace trayproof::english
