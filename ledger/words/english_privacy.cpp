#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> privacy() {
  static constexpr Word words[] = {
      {"help.numbers",
       "show patients' numbers in place of pseudonyms; needs --as with the right, and --reason. The reading is recorded"},
      {"help.reason", "why the numbers are read"},
      {"help.erase",
       "ask for the destruction of a patient's number (on standard input, or --pseudonym), of a text, or of a file; it is done when "
       "the second person countersigns"},
      {"help.erase-pseudonym", "the patient's pseudonym, when the number is not at hand"},
      {"help.erase-text", "the seq of an entry and the JSON Pointer of a free text in it, such as /note"},
      {"help.erase-file", "the SHA-256 of an attachment"},
      {"help.erase-second", "who is to countersign; somebody else than who asks"},
      {"help.restore", "put a backup in place of the ledger; the file that stands there is kept aside"},
      {"help.restore-file", "the backup"},
      {"help.restore-second", "who is to countersign the restore"},
      {"help.restore-checkpoint", "a checkpoint that was kept elsewhere: tells what is lost, and that the backup is of this history"},
      {"help.restore-erasures",
       "a newer backup, or a list NAME.erased from elsewhere: what it tells to be erased is erased again"},

      {"numbers.no-reason", "--numbers asks for a reason: --reason \"to call the patients of load L-7\""},
      {"numbers.reason-alone", "--reason goes with --numbers"},
      {"numbers.as-argument",
       "what was given is a patient's number; numbers are not taken as arguments, because others could read them there. Trace the "
       "procedure"},
      {"numbers.recorded", "Patients' numbers are shown; this reading is recorded as seq {seq}."},

      {"erase.number-unknown", "no patient with that number is known here, or the number was erased before"},
      {"erase.one-of", "give one of --pseudonym, --text and --file, or none of them and the patient's number on standard input"},
      {"erase.seq", "--text: found \"{found}\"; allowed is the seq of an entry"},
      {"erase.second-self", "{person} is the one who asks; the second must be somebody else"},
      {"erase.second-no-key",
       "{person} has no key here and could not countersign; name somebody who has (see `person list`)"},
      {"erase.sort-patient", "a patient's number"},
      {"erase.sort-text", "a text"},
      {"erase.sort-attachment", "an attachment"},
      {"erase.asked",
       "Asked for the destruction of {sort} (seq {seq}). Nothing is destroyed yet: {second} does it with\n"
       "  trayproof --as {second} countersign {seq}"},
      {"erase.second-given",
       "The key of {second} goes back to a PIN that {asker} gave, who asks: verify will say so for ever. A PIN given by another "
       "steward would show that two persons acted."},
      {"erase.destroyed", "Destroyed. The entries stay as they are."},
      {"erase.backups", "Copies made before that still hold it; replace or destroy them:"},
      {"erase.backup", "  {where} (made {at}, seq {seq})"},
      {"erase.aside", "  {file}, put aside by a restore, may hold it too"},

      {"restore.done", "Put {file} in place as {ledger}: {size} {size|event|events}, verified."},
      {"restore.lost",
       "LOST: {count} {count|event that was|events that were} recorded after the copy was made; a state of {size} "
       "{size|event|events} is known."},
      {"restore.nothing-later", "Nothing later is known. If a checkpoint was kept elsewhere, compare it."},
      {"restore.erased-again",
       "{count} {count|thing that was erased after the copy was made was|things that were erased after the copy was "
       "made were} erased again."},
      {"restore.aside",
       "The file that stood there is now {file}. Keep it until the loss is settled, then destroy it: it is a copy like any other."},
      {"restore.noted", "Recorded as seq {seq}; {second} is to countersign it: trayproof --as {second} countersign {seq}"},
      {"restore.read-only",
       "There is no key file {keys}: this ledger can be read, verified and exported, and the restore is recorded nowhere. Put a copy of "
       "the key file there, or go on in a new ledger with `create --continues`."},
  };
  return words;
}

}  // namespace trayproof::english
