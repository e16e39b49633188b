// HOW-TO-CHECK.txt: the check in plain words, with tools that every machine has.
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"
#include "report/evidence/telling.h"

namespace trayproof::evidence {

std::string manual(const Telling& telling) {
  std::string out;
  const auto paragraph = [&](const std::string& text) { out += text + "\n\n"; };
  const Subject& subject = telling.belonging.subject;
  paragraph(say("pack.manual-head", {{"kind", subject.kind}, {"id", subject.id}}));
  paragraph(say("pack.manual-program", {{"vkey", telling.vkey}}));
  paragraph(say("pack.manual-anchor"));
  paragraph(say("pack.manual-members"));
  paragraph(say("pack.manual-sums"));
  paragraph(say("pack.manual-entries"));
  paragraph(say("pack.manual-python"));
  paragraph(say("pack.manual-checkpoint"));
  paragraph(say("pack.manual-signatures", {{"format", format_name}}));
  paragraph(say("pack.manual-older"));
  if (telling.whole) paragraph(say("pack.manual-whole"));
  paragraph(say("caution.scope"));
  return out;
}

}  // namespace trayproof::evidence
