// What the readable page of a pack is made from, and how it spells times, entries and texts.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "importer/refusals.h"
#include "report/evidence/belonging.h"
#include "report/markup/markup.h"
#include "report/picture/curve.h"
#include "report/review/material.h"

namespace trayproof::evidence {

// A curve drawn again from its kept file.
struct DrawnCurve {
  std::int64_t seq = 0;  // of its curve-measured
  std::string load;
  std::string file;                                // SHA-256 of the export
  std::optional<picture::Curve> curve;             // nothing where it could not be drawn
  std::string note;                                // why not, or what differs from the judgement of the record
  std::optional<importer::KeptRefusals> refusals;  // rows of the export that could not be read
};

struct Telling {
  const Belonging& belonging;
  const review::Material& material;
  std::vector<DrawnCurve> curves = {};
  std::size_t curves_left_out = 0;
  std::vector<const gaps::Finding*> findings = {};  // that concern the case, gravest first
  std::vector<std::string> cautions = {};
  std::string facility = {}, as_known_at = {}, program = {}, root = {}, vkey = {}, origin = {};
  std::string signed_by = {};  // empty: nobody signs the page
  std::size_t absent_texts = 0, absent_files = 0;
  bool whole = false;
  std::map<std::string, std::string, std::less<>> numbers = {};  // by pseudonym, where numbers are shown

  const gaps::Facts& facts() const { return material.facts; }
  // "2026-10-14 08:10"
  std::string stamp(Instant at) const { return material.stamp(at); }
  // The number where numbers are shown and there is one, else the pseudonym.
  std::string patient(std::string_view pseudonym) const {
    const auto known = numbers.find(pseudonym);
    return known == numbers.end() ? std::string(pseudonym) : known->second;
  }
  people::KeyBook keys = {};
  // The entry in one sentence, as trace tells it, and where its key was reported stolen before it, that it was.
  Result<std::string> sentence(std::int64_t seq) const;
  // The same material, for the part of the time that holds these loads or procedures.
  review::Material within(Instant from, Instant until) const;
};

// "entries 12, 14": each leads to its place on the page.
markup::Markup seq_links(const std::vector<std::int64_t>& seqs);

// One line of what the evidence meets, misses or leaves open, with the entries that it rests on.
struct Point {
  std::string says;
  std::vector<std::int64_t> seqs;
  std::string_view together = {};  // the text that says the same of several loads; empty: it stands by itself
  std::string load = {};
};
struct InShort {
  std::vector<Point> meets, misses, open;
};
InShort in_short(const Telling& telling);

// The whole page; no script, nothing from elsewhere.
Result<std::string> page(const Telling& telling);
// Its parts.
Result<markup::Markup> story(const Telling& telling);  // the case itself
Result<markup::Markup> recall_story(const Telling& telling);
markup::Markup drawings(const Telling& telling);
markup::Markup finding_list(const Telling& telling);
markup::Markup rules_used(const Telling& telling);
Result<markup::Markup> entry_list(const Telling& telling);
markup::Markup patient_list(const Telling& telling);  // which pseudonym each number stands for
markup::Markup record_part(const Telling& telling);
// HOW-TO-CHECK.txt
std::string manual(const Telling& telling);

}  // namespace trayproof::evidence
