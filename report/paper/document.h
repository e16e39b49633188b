// A sheet of paper as its parts, one below the other, and the PDF made of it. Pages are A4, black on white; each says
// what it is a sheet of, from which state of the record, and its number of how many.
//
// The same document gives the same bytes. Text is text: it can be searched, copied and read aloud.
#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "report/picture/curve.h"

namespace trayproof::paper {

struct Heading {
  std::string text;
};
struct Paragraph {
  std::string text;
  bool strong = false;
};
// Names with what stands for each.
struct Lines {
  std::vector<std::pair<std::string, std::string>> lines;
};
struct Table {
  std::vector<std::string> heads;
  std::vector<double> shares;  // of the page's width; together 1
  std::vector<std::vector<std::string>> rows;
};
struct Drawing {
  picture::Curve curve;
};
// Ruled lines to be filled in by hand.
struct ToSign {
  std::vector<std::string> names;
};

using Part = std::variant<Heading, Paragraph, Lines, Table, Drawing, ToSign>;

struct Document {
  std::string title;
  std::string mark;  // on every page beside the title: DRILL, or nothing
  std::string foot;  // on every page: facility, state of the record
  Instant created;   // from the record, never from the clock
  bool landscape = false;
  std::vector<Part> parts;
};

Result<Bytes> pdf_of(const Document& document);

}  // namespace trayproof::paper
