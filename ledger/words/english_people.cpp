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

      {"people.pin-short", "a PIN has at least 6 characters"},
      {"people.pin-long", "a PIN has at most 128 bytes"},
      {"people.pin-text", "a PIN is text without control characters"},
      {"people.pin-plain", "that PIN is guessed at once (a run, a repeated piece, or one that many use); choose another"},
      {"people.pin-name", "that PIN holds the person's own id; choose another"},
      {"people.no-such-key", "no key {key} is in force here; `key list` shows all"},
      {"people.rotate-instead",
       "this is the {sort} key that the program itself works with; `key rotate` puts another in its place and retires this one"},

      {"people.right-enrol", "enrol people and give them keys"},
      {"people.right-retire-key", "retire or rotate keys"},
      {"people.right-read-numbers", "read patients' numbers"},
      {"people.right-erase", "ask for a destruction"},
      {"people.right-restore", "restore a backup"},
      {"people.right-adopt-sop", "put an SOP in force"},
      {"people.right-confirm-sop", "confirm an SOP"},
      {"people.right-release", "release loads"},
      {"people.right-correct", "correct entries"},
      {"people.right-close-recall", "close recalls"},
      {"people.any-role", "any"},
      {"people.nobody", "nobody yet"},
      {"people.no-right", "{person} may not {what}; that takes one of the roles: {roles}. Who may and can sign in: {those}"},
      {"people.sign-in-for",
       "to {what}, sign in with --as PERSON; that takes one of the roles: {roles}. Who may and can sign in: {those}"},

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
