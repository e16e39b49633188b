// Destruction of LedgerFile: what is erased must not be readable in the file's bytes.
//
// `secure_delete` (https://www.sqlite.org/pragma.html#pragma_secure_delete) overwrites a removed row and a freed page.
// It does not reach copies that stay in the gap of a page when its rows were moved to a neighbour earlier, by the
// splitting of pages (seen: one text of some 30,000 removed by their rows alone). The indexes of patients and texts
// stand in the order of random keys, so their pages split all the time: table and indexes are therefore written anew,
// from memory, after their pages were freed and overwritten. Parts of attachments are only ever appended.
#include "ledger/store/curves.h"
#include "ledger/store/ledger_file.h"
#include "ledger/words/words.h"

namespace trayproof::store {

Result<bool> LedgerFile::destroy(std::string_view deletion, ByteView key, const std::string& rewriting) {
  if (!database_.in_transaction()) return Error(ErrorCode::conflict, say("store.no-transaction"));
  TRY_LET(auto remove, database_.prepare(deletion));
  remove.bind(1, key);
  TRY(remove.run());
  if (database_.changes() == 0) return false;
  ++destroyed_;
  if (!rewriting.empty()) TRY(database_.run(rewriting));
  return true;
}

namespace {

// A DELETE without a condition frees and overwrites every page of the table and of its indexes. The rows wait in
// memory meanwhile (temp_store).
std::string rewriting_of(const std::string& table) {
  return "CREATE TEMP TABLE kept AS SELECT * FROM main." + table + "; DELETE FROM main." + table +
         "; INSERT INTO main." + table + " SELECT * FROM temp.kept ORDER BY rowid; DROP TABLE temp.kept";
}

}  // namespace

Result<bool> LedgerFile::destroy_patient(const crypto::Token& pseudonym) {
  return destroy("DELETE FROM patients WHERE pseudonym = ?", ByteView(pseudonym), rewriting_of("patients"));
}

Result<bool> LedgerFile::destroy_text(const Digest& stand_in) {
  return destroy("DELETE FROM texts WHERE sha256 = ?", ByteView(stand_in), rewriting_of("texts"));
}

Result<bool> LedgerFile::destroy_attachment(const Digest& sha256) {
  TRY_LET(const bool there, destroy("DELETE FROM attachments WHERE sha256 = ?", ByteView(sha256), ""));
  TRY_LET(const bool parts, destroy("DELETE FROM attachment_parts WHERE sha256 = ?", ByteView(sha256), ""));
  TRY(drop_curves(database_, sha256));
  return there || parts;
}

}  // namespace trayproof::store
