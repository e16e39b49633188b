// From an import to what is drawn: each cycle with its readings as they were judged and the limits of the edition that
// judged it. The drawing shows what was found; it judges nothing.
#pragma once

#include <vector>

#include "importer/import.h"
#include "importer/judging/series.h"
#include "report/picture/curve.h"

namespace trayproof::picture {

// `series` holds the cycle's rows; `edition` is the one that judged it, null where none did.
Curve of_cycle(const judging::Series& series, const importer::Cycle& cycle, const sop::Sop* edition, const Zone& zone);
// The edition that judged it; null where none did.
const sop::Sop* edition_of(const sop::Editions& editions, const importer::Cycle& cycle);
// Where findings came to the cycle after it was drawn.
void tell_again(Curve& curve, const importer::Cycle& cycle);
// What only the whole file tells: the unit and the sense of its pressure, and its SHA-256.
void name_source(Curve& curve, const importer::Import& import);
// Every cycle of the file; the whole file as one curve where none was found.
std::vector<Curve> of_import(const importer::Import& import, const sop::Editions& editions, const Zone& zone);

}  // namespace trayproof::picture
