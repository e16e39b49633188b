// START-HERE.html: what the pack shows and what it cannot show first, then the case, then all that it rests on.
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"
#include "report/evidence/telling.h"

namespace trayproof::evidence {
namespace {

using markup::element;
using markup::Element;
using markup::Literal;
using markup::Markup;

// Black on white, one column, tables that become cards on a telephone, figures that are not torn over two sheets.
constexpr char style[] = R"css(
:root{color-scheme:light}
body{margin:0 auto;max-width:46rem;padding:1rem;background:#fff;color:#111;font:1rem/1.45 "DejaVu Sans",Verdana,Arial,sans-serif}
h1{font-size:1.5rem;line-height:1.2;margin:.2rem 0}
h2{font-size:1.15rem;margin:1.8rem 0 .5rem;border-bottom:2px solid #111;padding-bottom:.15rem}
h3{font-size:1rem;margin:1.3rem 0 .4rem}
p,ul,ol,dl,figure{margin:.5rem 0;overflow-wrap:anywhere}
a{color:#111}
code{font:.8rem/1.3 "DejaVu Sans Mono",monospace;overflow-wrap:anywhere}
.quiet,figcaption{color:#444;font-size:.85rem}
.seqs{font-size:.85rem;color:#444}
.box{border:2px solid #111;padding:.6rem .8rem;margin:1rem 0}
.box ul{margin:.3rem 0;padding-left:1.2rem}
.short{display:grid;grid-template-columns:repeat(auto-fit,minmax(13rem,1fr));gap:.8rem}
.short section{border:1px solid #111;padding:.5rem .7rem}
.short h3{margin:0 0 .3rem}
.short ul{margin:0;padding-left:1.1rem}
.short .misses{border-width:3px}
dl{display:grid;grid-template-columns:minmax(8rem,13rem) 1fr;gap:.15rem .8rem}
dt{color:#444}
dd{margin:0;overflow-wrap:anywhere}
table{border-collapse:collapse;width:100%;font-size:.85rem}
th,td{border:1px solid #777;padding:.25rem .4rem;text-align:left;vertical-align:top;overflow-wrap:break-word}
td:first-child{white-space:nowrap}
ol.steps{list-style:none;margin:.6rem 0;padding:0 0 0 .9rem;border-left:3px solid #111}
ol.steps li{margin:0 0 .55rem;position:relative}
ol.steps li:before{content:"";position:absolute;left:-1.28rem;top:.45rem;width:.6rem;height:.6rem;border-radius:50%;background:#111}
.when{font-weight:bold;white-space:nowrap}
ol.entries,ul.findings{list-style:none;padding:0}
ol.entries li,ul.findings li{margin:0 0 .6rem;overflow-wrap:anywhere}
ol.entries{font-size:.85rem}
ul.limits{columns:2;font-size:.85rem;padding-left:1.1rem}
.warn{border-left:.4rem solid #111;padding-left:.6rem}
figure{break-inside:avoid;max-width:40rem}
svg.curve{width:100%;height:auto;border:1px solid #ccc}
@media (max-width:34rem){
body{padding:.7rem;font-size:.95rem}
dl,.short{grid-template-columns:1fr}
dl{gap:0}
dd{margin:0 0 .4rem}
ul.limits{columns:1}
thead{display:none}
table,tbody,tr,td{display:block}
tr{border:1px solid #777;margin:0 0 .6rem}
td{border:0;padding:.15rem .5rem}
td:before{content:attr(data-head) ": ";color:#444}
}
@media print{
@page{size:A4;margin:15mm}
body{max-width:none;padding:0;font-size:10pt}
h2,h3{break-after:avoid}
li,tr{break-inside:avoid}
a{text-decoration:none}
}
)css";

Markup points(const std::vector<Point>& list, std::string_view without) {
  if (list.empty()) return element("p", say(without));
  Element out("ul");
  for (const Point& one : list) {
    Element item("li");
    item.text(one.says);
    if (!one.seqs.empty()) item.text(" ").inside(seq_links(one.seqs));
    out.inside(item);
  }
  return out.markup();
}

Markup what_it_shows(const Telling& telling) {
  Element box("div");
  box.with("class", "box").inside(element("strong", say("pack.shows-head")));
  Element list("ul");
  list.inside(element("li", say("pack.shows-entries")));
  list.inside(element("li", say(telling.whole ? "pack.shows-whole" : "pack.shows-not-all")));
  list.inside(element("li", say("pack.shows-not-true")));
  list.inside(element("li", say("pack.shows-whose")));
  list.inside(element("li", telling.signed_by.empty() ? say("pack.shows-unsigned")
                                                      : say("pack.shows-page", {{"station", telling.signed_by}})));
  if (!telling.numbers.empty()) list.inside(element("li", say("pack.shows-numbers")));
  list.inside(element("li", say("pack.shows-check", {{"manual", manual_member}})));
  return box.inside(list).markup();
}

Markup short_part(const Telling& telling) {
  const InShort found = in_short(telling);
  Element out("div");
  out.with("class", "short");
  const auto part = [&](std::string_view name, std::string_view head, const std::vector<Point>& list,
                        std::string_view without) {
    out.inside(Element("section").with("class", name).inside(element("h3", say(head))).inside(points(list, without)));
  };
  part("misses", "pack.misses", found.misses, "pack.misses-none");
  part("open", "pack.open", found.open, "pack.open-none");
  part("meets", "pack.meets", found.meets, "pack.meets-none");
  return out.markup();
}

}  // namespace

Result<std::string> page(const Telling& telling) {
  const Subject& subject = telling.belonging.subject;
  const std::string title = say("pack.title", {{"kind", subject.kind}, {"id", subject.id}});
  Element head("head");
  head.inside(Element("meta").with("charset", "utf-8"));
  head.inside(Element("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1"));
  head.inside(element("title", title));
  head.inside(Element("style").inside(Markup::as_written(style)));
  Element body("body");
  body.inside(element("p", telling.facility));
  body.inside(element("h1", title));
  body.inside(element("p", say("pack.state", {{"at", telling.as_known_at},
                                              {"size", std::to_string(telling.belonging.size)},
                                              {"count", std::to_string(telling.belonging.entries.size())}})));
  body.inside(what_it_shows(telling));
  body.inside(element("h2", say("pack.head-short"))).inside(short_part(telling));
  TRY_LET(const auto case_itself, story(telling));
  body.inside(case_itself).inside(drawings(telling)).inside(finding_list(telling)).inside(rules_used(telling));
  body.inside(patient_list(telling));
  TRY_LET(const auto entries, entry_list(telling));
  body.inside(entries).inside(record_part(telling));
  body.inside(element("h2", say("pack.head-cautions")));
  for (const std::string& caution : telling.cautions) body.inside(element("p", caution));
  if (const std::string notice = unreviewed_notice(); !notice.empty()) body.inside(element("p", notice));
  body.inside(Element("p").with("class", "quiet").text(say("pack.made-by", {{"program", telling.program}})));
  Element html("html");
  const LanguageFacts& spoken = facts_of(language());
  html.with("lang", spoken.tag).with("dir", spoken.right_to_left ? "rtl" : "ltr").inside(head).inside(body);
  return Markup::as_written("<!DOCTYPE html>\n").bytes() + html.markup().bytes() + "\n";
}

}  // namespace trayproof::evidence
