// The vocabulary of format 1: one table of kinds with their fields. Refusals, derived tables, help and the reference
// page come from it. docs/ledger-format.md is the authority; what stands here lives in hashed bytes and is never
// renamed.
#pragma once

#include <span>
#include <string_view>

namespace trayproof::events {

// What a field may hold.
enum class Type {
  id,           // 1 to 64 characters, see fields.h
  id_or_null,   // an id, or null
  text,         // at most 200 code points
  free_text,    // at most 2,000 code points, kept beside the chain
  toml,         // at most 128 KiB
  choice,       // one of `choices`
  choice_list,  // a list of them, each once
  id_list,      // a list of ids, each once
  boolean,
  integer,         // a whole number, 0 or more
  indicator_type,  // a whole number from 1 to 6
  seq,             // a whole number, 1 or more
  number,          // any finite number
  amount,          // a number, 0 or more
  percent,         // 0 to 100
  temperature,     // -90 to 1,500 °C
  date,            // YYYY-MM-DD
  date_time,
  date_or_time,  // a date (its last moment counts) or a date-time
  flag_or_date,  // true, false or a date
  sha256,        // 64 hex digits
  key,           // 64 hex digits: an Ed25519 public key
  signature,     // 128 hex digits
  token,         // 32 hex digits: 128 random bits
  patient,       // a patient's number; the entry holds a pseudonym
  patient_list,
  items,          // list of {item, count, marks?}
  subject,        // {kind, id}
  head,           // {size, root}
  origin_head,    // {origin, size, root}
  hours_of_zone,  // an IANA time zone
  object,         // an object whose shape the field's page tells
  any,            // any JSON
  replacement,    // a whole event as a recorder gives it, or null
};

enum class Needed { yes, no };

struct Field {
  std::string_view name;
  Type type;
  Needed needed;
  std::span<const std::string_view> choices = {};
};

enum class Group { record_itself, place_and_rules, solutions, turn, cycles, shelf_and_use, recall_and_correction };

struct Kind {
  std::string_view name;
  Group group;
  std::span<const Field> fields;  // as in the kind's row: the first cannot be `unknown`

  const Field* field(std::string_view name) const;
  // A field of the envelope or of the kind by its name, found at once; null for a name of neither.
  struct Found {
    const Field* field = nullptr;
    bool in_envelope = false;
  };
  Found find(std::string_view name) const;
  // May a recorder give it (`record`), or does the program write it by itself?
  bool recordable() const;
  // May some of its fields be marked `unknown`?
  bool takes_unknown() const;
  // May a `corrected` name it?
  bool correctable() const;
};

std::span<const Kind> kinds();
const Kind* find_kind(std::string_view name);

// Envelope fields that a recorder may give, `kind` first.
std::span<const Field> envelope();
// Field names that the ledger itself puts inside the hashed bytes; a recorder may not give them.
bool is_added_by_ledger(std::string_view name);
// Kinds that must be found again without reading every entry; the ledger keeps their seqs in an index.
bool is_landmark(std::string_view kind);
// Names whose text is kept beside the chain, at any depth. (`name` only in person-enrolled.)
bool is_free_text(std::string_view name);

// The kind of thing that an id names, by its field's name ("pack" for pack, packs, added, removed; "lot" for every lot
// field); empty when the field holds no id of a thing.
std::string_view thing_of(std::string_view field);

// Methods of a load.
bool is_heat(std::string_view method);
bool is_steam(std::string_view method);
bool is_chemical(std::string_view method);
// Methods that only disinfect.
bool only_disinfects(std::string_view method);

}  // namespace trayproof::events
