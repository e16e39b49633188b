// The ledger's SQLite file, format 1: entries and what stands beside the chain. Knows bytes, ids and keys of rows, not
// what an event means. schema.sql beside this file is the authority on the tables.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/crypto/hash.h"
#include "ledger/store/database.h"

namespace trayproof::store {

struct ChainHead {
  std::int64_t seq = 0;  // number of events
  Digest hash{};         // zeros before the first
};

struct Entry {
  std::int64_t seq = 0;
  std::string bytes;  // the canonical bytes, as hashed
  Digest hash{};
  Bytes sig;  // empty when covered by a later one
};

struct EntryView {
  std::int64_t seq = 0;
  std::string_view bytes;
  ByteView hash;
  ByteView sig;
};

// Beside an entry's bytes, found by the file's indexes only.
struct EntryKeys {
  std::string_view slip;    // empty when there is none
  crypto::Token content{};  // digest of what the recorder gave, without numbers and texts
};

// An id that may be introduced once ("pack", "load", "load-end", …), the event that did, and one detail of it.
struct Introduction {
  std::int64_t origin = 0;
  std::string detail;
};

struct KeptText {
  Digest stand_in{};
  std::array<std::uint8_t, 16> salt{};
  std::string text;
};

struct KeptPatient {
  crypto::Token pseudonym{};
  crypto::Token lookup{};  // keyed digest of the number
  Bytes sealed_key;        // the patient's key, sealed under the station's secret
  Bytes sealed_number;     // the number, sealed under the patient's key
};

class LedgerFile {
 public:
  static Result<LedgerFile> create(const std::string& path);
  static Result<LedgerFile> open(const std::string& path, Access access);

  Database& database() { return database_; }

  // Changes when another connection commits (SQLite's data_version), and when this one destroys a row. What was read
  // before is then read again.
  struct Version {
    std::int64_t of_others = 0;
    std::int64_t destroyed = 0;
    bool operator==(const Version&) const = default;
  };
  Result<Version> version();
  // The file's own count of the transactions that changed it (Database::change_count), with all of them whole: no two
  // states of the file have the same, whatever was changed and whoever did it.
  Result<std::uint32_t> changes();
  // The same without waiting for whoever writes: what it says besides is the count of a commit that is not whole yet,
  // and that `changes` has told nobody.
  Result<std::uint32_t> changes_at_a_glance();
  Result<ChainHead> head();
  Result<Entry> entry(std::int64_t seq);
  Result<void> scan(std::int64_t from, std::int64_t until, const std::function<Result<void>(const EntryView&)>& visit);
  // What a tree over the entries up to `until` needs of them: a third of the time of reading them whole.
  Result<void> scan_hashes(std::int64_t until, const std::function<void(const Digest& hash)>& visit);
  // Every transaction that inserts entries begins here: what another process wrote in between is then seen.
  Result<Transaction> begin();
  // After a roll-back inside such a transaction: the same guard goes on.
  Result<void> begin_again();
  // Inside such a transaction. Conflict for every seq but the next.
  Result<void> insert(const EntryView& entry, const EntryKeys& keys);

  Result<std::optional<std::int64_t>> find_slip(std::string_view slip);
  Result<std::vector<std::int64_t>> find_content(const crypto::Token& content);

  // All digests that entries have, for an append so large that asking for each would take longer.
  Result<void> scan_contents(const std::function<void(const crypto::Token& content)>& visit);
  Result<void> scan_introductions(const std::function<void(std::string_view sort, std::string_view id)>& visit);

  Result<std::optional<Introduction>> introduction(std::string_view sort, std::string_view id);
  Result<void> put_introduction(std::string_view sort, std::string_view id, const Introduction& introduction);
  Result<void> drop_introduction(std::string_view sort, std::string_view id);

  // The first event of the family that a correction belongs to; nothing when `seq` is no correction.
  Result<std::optional<std::int64_t>> origin_of(std::int64_t seq);
  Result<std::vector<std::int64_t>> corrections_of(std::int64_t origin);
  Result<void> put_correction(std::int64_t seq, std::int64_t origin);

  Result<void> put_landmark(std::string_view kind, std::int64_t seq);
  Result<std::vector<std::int64_t>> landmarks(std::string_view kind);

  Result<void> put_text(const KeptText& text);
  Result<std::optional<KeptText>> text(const Digest& stand_in);

  Result<void> put_patient(const KeptPatient& patient);
  Result<std::optional<KeptPatient>> patient_by_lookup(const crypto::Token& lookup);
  Result<std::optional<KeptPatient>> patient_by_pseudonym(const crypto::Token& pseudonym);
  Result<void> scan_pseudonyms(
      const std::function<void(const crypto::Token& lookup, const crypto::Token& pseudonym)>& visit);
  Result<void> scan_patients(const std::function<void(const crypto::Token& lookup, std::size_t number_bytes)>& visit);

  // Each on its own transaction when none is open. True: it was not there before.
  Result<bool> put_attachment(const Digest& sha256, ByteView bytes);
  Result<bool> has_attachment(const Digest& sha256);
  Result<Bytes> attachment(const Digest& sha256);
  Result<std::vector<Digest>> attachments();

  // Inside a transaction: the row goes, and every page that could hold old bytes of its table is written anew, so that
  // no copy stays in the gaps of pages (destruction.cpp). True: it was there.
  Result<bool> destroy_patient(const crypto::Token& pseudonym);
  Result<bool> destroy_text(const Digest& stand_in);
  Result<bool> destroy_attachment(const Digest& sha256);

  Result<void> put_checkpoint(std::int64_t size, std::string_view note);
  Result<std::vector<std::string>> checkpoints();
  // The same state under more signatures.
  Result<void> replace_checkpoint(std::int64_t size, std::string_view old_note, std::string_view new_note);

  // A size and a hash, marked by the station's secret: how far `verify` once found everything in order (the hash is the
  // tree's root), and where the chain ended at the last commit (the hash is the last entry's).
  struct Marked {
    std::int64_t size = 0;
    Digest hash{};
    Digest mark{};
  };
  Result<std::optional<Marked>> verified();
  Result<void> put_verified(const Marked& marked);
  Result<std::optional<Marked>> latest();
  Result<void> put_latest(const Marked& marked);

 private:
  explicit LedgerFile(Database database);
  Result<Statement*> prepared(std::string_view sql);
  Result<bool> destroy(std::string_view deletion, ByteView key, const std::string& rewriting);
  Result<std::optional<Marked>> marked(std::string_view sql);
  Result<void> put_marked(std::string_view sql, const Marked& marked);

  Database database_;
  std::vector<std::pair<std::string_view, Statement>> statements_;
  std::int64_t next_seq_ = 0;  // 0: not known in this transaction
  std::int64_t destroyed_ = 0;
};

}  // namespace trayproof::store
