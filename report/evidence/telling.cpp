#include "report/evidence/telling.h"

#include "ledger/links/standing_event.h"
#include "ledger/links/trace.h"
#include "ledger/people/stolen.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::evidence {

using markup::Element;
using markup::Markup;

Result<std::string> Telling::sentence(std::int64_t seq) const {
  TRY_LET(const auto bytes, material.ledger.entry(seq));
  TRY_LET(const auto entry, links::read_entry(seq, bytes.bytes));
  std::string says = links::sentence_of(material.ledger, entry.kind, entry.fields);
  if (const people::KnownKey* key = people::stolen_for(keys, entry.fields)) {
    says += " " + say("trace.key-stolen",
                      {{"since", written_here(key->retired->since_text)}, {"seq", std::to_string(key->retired->told)}});
  }
  return says;
}

review::Material Telling::within(Instant from, Instant until) const {
  review::Material part = material;
  part.period = {from, until};
  return part;
}

Markup seq_links(const std::vector<std::int64_t>& seqs) {
  Element out("span");
  out.with("class", "seqs");
  for (std::size_t i = 0; i < seqs.size(); ++i) {
    const std::string seq = std::to_string(seqs[i]);
    if (i == 0)
      out.text(say(seqs.size() == 1 ? "pack.entry" : "pack.entries") + " ");
    else
      out.text(", ");
    out.inside(Element("a").with("href", "#e" + seq).text(seq));
  }
  return out.markup();
}

}  // namespace trayproof::evidence
