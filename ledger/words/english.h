// The English catalogue, one part an area. Each part stands in its own file, sorted as its area works.
#pragma once

#include <span>

#include "ledger/words/words.h"

namespace trayproof::english {

std::span<const Word> ledger();     // refusals, verify, keys
std::span<const Word> importer();   // reading, judging
std::span<const Word> gaps();       // findings and what closes them
std::span<const Word> recall();     // recall, trace, exposure
std::span<const Word> workbook();   // sheets, headings, notes
std::span<const Word> review();     // the review's rows; gaps and report
std::span<const Word> command();    // help and output of the command line
std::span<const Word> people();     // persons, PINs, keys, second persons
std::span<const Word> privacy();    // reading numbers, erasing, restoring
std::span<const Word> cautions();   // what may hurt people
std::span<const Word> label();      // cards and labels with codes
std::span<const Word> proof();      // proofs, checkpoints, witnesses
std::span<const Word> evidence();   // checking an evidence pack
std::span<const Word> pack();       // an evidence pack's page and manual
std::span<const Word> picture();    // the drawing of a curve
std::span<const Word> registers();  // rows of spreadsheets as events
std::span<const Word> answers();    // the assessor's questions
std::span<const Word> solutions();  // amounts for a solution
std::span<const Word> sop();        // refusals of the SOP file
std::span<const Word> paper();      // sheets of paper
std::span<const Word> district();   // parcels, and the register of many facilities
std::span<const Word> format();     // words of the format
std::span<const Word> form();       // the desk: forms
std::span<const Word> desk();       // the desk: refusals, signing in, pages
std::span<const Word> desk_reading();  // its pages that are read

}  // namespace trayproof::english
