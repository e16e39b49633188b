// Forgetting: a patient's number, a text or an attachment is destroyed when somebody with the right asked for it and
// the second person, whom the request names, countersigned it. The entries stay as they are; what stood beside the
// chain is gone. docs/ledger-format.md, "Erasure", is the authority.
//
// The destruction follows the countersignature once that is durable. What a crash left undone is done when the ledger
// is next opened for writing.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/ledger.h"

namespace trayproof {

enum class Forgotten { patient, text, attachment };
std::string_view word(Forgotten sort);  // patient, text, attachment

// One request as it stands in the chain.
struct ErasureRequest {
  std::int64_t seq = 0;
  Forgotten sort = Forgotten::patient;
  std::string subject;  // hex: the pseudonym, the text's stand-in, the attachment's SHA-256
  // Of a text: the entry and the place in it (JSON Pointer) that the request names.
  std::int64_t of = 0;
  std::string field;
};

// The kinds of request: patient-erased, text-removed, attachment-removed.
bool is_erasure_request(std::string_view kind);
// Nothing when the event is no request, or names a text that is not there in the chain.
std::optional<ErasureRequest> request_of(store::LedgerFile& file, std::int64_t seq, const json::Value& event);
// The stand-in (hex) of the text at that place of the entry; nothing when no text stands there.
std::optional<std::string> text_stand_in_at(store::LedgerFile& file, std::int64_t seq, std::string_view pointer);

Result<std::vector<ErasureRequest>> erasure_requests(const Ledger& ledger);
// Whether what the request names still stands beside the chain.
Result<bool> still_there(store::LedgerFile& file, const ErasureRequest& request);
// Inside a transaction. True: it was still there.
Result<bool> destroy(store::LedgerFile& file, Forgotten sort, std::string_view subject);

// What somebody asks for.
struct ErasureWish {
  Forgotten sort = Forgotten::patient;
  std::string subject;  // hex, as above; not for a text
  std::int64_t of = 0;  // of a text
  std::string field;
  std::string second;  // who is to countersign
  std::string at;      // now, in the facility's zone
};
// Appends the request: its seq. Missing when there is nothing to destroy; conflict when it was asked for already and
// waits for its second.
Result<std::int64_t> ask_for_erasure(Ledger& ledger, const ErasureWish& wish,
                                     std::shared_ptr<const people::Signer> signer);

// Destroys everything that was asked for and countersigned and is still there, in one durable step, and notes it in the
// list beside the ledger (erasure_list.h). What was destroyed now.
Result<std::vector<ErasureRequest>> destroy_countersigned(Ledger& ledger);

// Backups that were made before the request and so still hold what was erased: where they are, as recorded.
struct HoldingBackup {
  std::int64_t seq = 0;  // of its backup-made
  std::string at;
  std::string where;
};
Result<std::vector<HoldingBackup>> backups_that_hold(const Ledger& ledger, const ErasureRequest& request);

}  // namespace trayproof
