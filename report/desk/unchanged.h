// A correction states the whole event anew. What its form left alone stands in it as it stood, to the second and the last
// digit, and so does what no form shows: patients' numbers, files, texts that were removed.
#pragma once

#include <map>
#include <string>

#include "ledger/ledger.h"
#include "report/desk/fields.h"
#include "report/desk/kind_form.h"

namespace trayproof::desk {

// How many patients' numbers each field of the event holds.
std::map<std::string, std::size_t, std::less<>> numbers_in(const events::Kind& kind, const json::Value& event);

// The event with its texts in place of their stand-ins, where they were not removed.
Result<json::Value> with_texts(const Ledger& ledger, const events::Kind& kind, json::Value event);

// What its form shows of an event, and what that would be read as again.
struct Shown {
  Fields values;
  json::Value event;
};

// Puts into `replacement`, read from `given`, what `standing` has in every field that was given as it was shown. A field
// with patients' numbers is taken away by `FIELD.none`.
void keep_unchanged(json::Value& replacement, const events::Kind& kind, const json::Value& standing, const Shown& shown,
                    const Fields& given);

}  // namespace trayproof::desk
