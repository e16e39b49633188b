// Everything that is compared of findings, one line each.
#pragma once

#include <string>

#include "report/gaps/find.h"

namespace trayproof::tests {

inline std::string told_whole(const gaps::Findings& findings) {
  std::string out;
  for (const gaps::Count& one : findings.looked_at) {
    out += std::string(one.rule->id) + ": " + std::to_string(one.subjects) + " looked at, " + std::to_string(one.gaps) +
           " gaps, " + std::to_string(one.cannot_tell) + " cannot tell" +
           (one.limit_not_stated ? ", limit not stated" : "") + "\n";
  }
  for (const gaps::Finding& one : findings.gaps) {
    out += std::string(one.rule->id) + " " + one.subject_kind + " " + one.subject_id + " " +
           format_date_time(findings.zone.local(one.at)) + " " + json::plain(one.found) + " " + json::plain(one.limit) +
           " first " + std::to_string(one.first_seen) + " rests on";
    for (const std::int64_t seq : one.seqs) out += " " + std::to_string(seq);
    out += "\n";
  }
  if (findings.before_editions)
    out += "before the editions: " + format_date_time(findings.zone.local(*findings.before_editions)) + "\n";
  return out + std::to_string(findings.back_records) + " back records";
}

}  // namespace trayproof::tests
