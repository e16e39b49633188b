// What somebody who does not see, see well, hold still or use a mouse needs of a page. Run in the page by accessible_test.py; gives
// one sentence for each thing that is wrong. What a name is, the browser itself says (accessible_test.py asks it).
const capture = arguments[0];
const wrong = [];
const shown = (one) => one.checkVisibility({ checkOpacity: false, checkVisibilityCSS: true }) && one.getClientRects().length > 0;
const named = (one) => `<${one.tagName.toLowerCase()}${one.id ? "#" + one.id : ""}${one.getAttribute("name") ? ` name=${one.getAttribute("name")}` : ""}> "${(one.textContent || one.value || "").trim().slice(0, 40)}"`;
const every = (selector) => [...document.querySelectorAll(selector)];

// The page: its language, its title, zooming, what stands where.
if (!/^[a-z]{2}(-|$)/.test(document.documentElement.lang)) wrong.push("no language");
if (document.title.trim().length < 5) wrong.push("no title");
if (/user-scalable=no|maximum-scale/.test(document.querySelector("meta[name=viewport]")?.content ?? "")) wrong.push("zooming is switched off");
for (const [landmark, count] of [["main", 1], ["body > header", 1], ["body > footer", 1], ["h1", 1]])
  if (every(landmark).length !== count) wrong.push(`${every(landmark).length} of ${landmark}, not ${count}`);
for (const one of document.body.children)
  if (!one.matches("header, main, footer, script, form[hidden]")) wrong.push(`${named(one)} stands in no landmark`);
if (every("nav").length > 0 && every("nav").some((one) => !one.getAttribute("aria-label"))) wrong.push("a nav without a name");
const skip = document.querySelector("body a[href^='#']");
if (!skip || !document.querySelector(skip.getAttribute("href"))) wrong.push("no way past the head of the page");

// Headings one below the other.
let level = 0;
for (const one of every("h1, h2, h3, h4, h5, h6")) {
  if (!shown(one)) continue;
  const mine = Number(one.tagName[1]);
  if (mine > level + 1 && level > 0) wrong.push(`${named(one)} after an h${level}`);
  if (one.textContent.trim() === "") wrong.push(`an empty h${mine}`);
  level = mine;
}

// Ids, and what names them.
const ids = every("[id]").map((one) => one.id);
for (const id of new Set(ids)) if (ids.filter((one) => one === id).length > 1) wrong.push(`the id ${id} twice`);
for (const attribute of ["for", "aria-labelledby", "aria-describedby", "aria-controls", "list"])
  for (const one of every(`[${attribute}]`))
    for (const id of one.getAttribute(attribute).split(/\s+/))
      if (!document.getElementById(id)) wrong.push(`${named(one)}: ${attribute} names ${id}, which is not there`);
for (const one of every("a[href^='#']")) if (!document.getElementById(decodeURIComponent(one.hash.slice(1)))) wrong.push(`${named(one)} leads to nothing on this page`);

// The keyboard's order is that of the page; nothing that can be pressed stands in another such thing.
for (const one of every("[tabindex]")) if (Number(one.getAttribute("tabindex")) > 0) wrong.push(`${named(one)} has tabindex ${one.getAttribute("tabindex")}`);
for (const one of every("a[href] a, a[href] button, button a, button button, a[href] input, button input, summary a, summary button")) wrong.push(`${named(one)} inside another control`);
for (const one of every("a:not([href]), [onclick], [role=button]:not(button)")) if (one.closest("svg") === null) wrong.push(`${named(one)} is no real control`);

// Lists, tables, groups.
for (const list of every("ul, ol")) for (const one of list.children) if (!one.matches("li, script, template")) wrong.push(`${named(one)} in a list`);
for (const list of every("dl")) for (const one of list.children) if (!one.matches("dt, dd, div")) wrong.push(`${named(one)} in a list of facts`);
for (const table of every("table")) {
  const heads = [...table.querySelectorAll("th")];
  if (heads.length === 0 || heads.some((one) => !one.scope)) wrong.push(`${named(table)}: heads without scope, or none`);
  const columns = table.querySelectorAll("thead tr:last-child th").length;
  for (const row of table.querySelectorAll("tbody tr")) {
    const wide = [...row.children].reduce((sum, cell) => sum + cell.colSpan, 0);
    if (columns > 0 && wide !== columns) wrong.push(`${named(row)}: ${wide} cells under ${columns} heads`);
  }
}
for (const group of every("fieldset")) if ((group.querySelector("legend")?.textContent ?? "").trim() === "") wrong.push(`${named(group)} without a legend`);
for (const one of every("input[type=radio]")) if (!one.closest("fieldset")) wrong.push(`${named(one)}: a choice outside a group`);
for (const one of every("input[type=password]")) if (one.autocomplete !== "current-password") wrong.push("a PIN that no password manager may fill");
for (const one of every("svg")) if (!one.querySelector("title") && one.getAttribute("aria-hidden") !== "true" && !one.getAttribute("aria-label")) wrong.push("a drawing without a title");

// Contrast, as WCAG 2.2 works it out, of every text with what lies behind it.
const parts = (colour) => {
  const found = colour.match(/rgba?\(([^)]+)\)/);
  if (!found) return null;
  const [r, g, b, a = 1] = found[1].split(/[\s,/]+/).map(Number);
  return { r, g, b, a };
};
const over = (top, under) => ({ r: top.r * top.a + under.r * (1 - top.a), g: top.g * top.a + under.g * (1 - top.a), b: top.b * top.a + under.b * (1 - top.a), a: 1 });
const light = ({ r, g, b }) => {
  const [x, y, z] = [r, g, b].map((one) => (one / 255 <= 0.04045 ? one / 255 / 12.92 : ((one / 255 + 0.055) / 1.055) ** 2.4));
  return 0.2126 * x + 0.7152 * y + 0.0722 * z;
};
const ratio = (one, other) => {
  const [high, low] = [light(one), light(other)].sort((a, b) => b - a);
  return (high + 0.05) / (low + 0.05);
};
const behind = (one) => {
  const layers = [];
  for (let at = one; at; at = at.parentElement) {
    const colour = parts(getComputedStyle(at).backgroundColor);
    if (colour && colour.a > 0) layers.push(colour);
    if (colour && colour.a === 1) break;
  }
  return layers.reverse().reduce((under, top) => over(top, under), { r: 255, g: 255, b: 255, a: 1 });
};
const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
let counted = 0;
while (texts.nextNode()) {
  const text = texts.currentNode;
  const one = text.parentElement;
  if (text.data.trim() === "" || !one || one.closest("svg, script, style, title, noscript, option, datalist") || !shown(one)) continue;
  const style = getComputedStyle(one);
  const ground = behind(one);
  const ink = over(parts(style.color), ground);
  const size = parseFloat(style.fontSize);
  const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
  const found = ratio(ink, ground);
  ++counted;
  if (found < (large ? 3 : 4.5)) wrong.push(`${named(one)}: contrast ${found.toFixed(2)}`);
}
if (counted < 5) wrong.push(`only ${counted} texts: is the page there?`);
for (const one of every("svg text")) {
  const ink = parts(getComputedStyle(one).fill);
  if (ink && shown(one) && Math.min(ratio(ink, { r: 255, g: 255, b: 255 }), ratio(ink, { r: 240, g: 244, b: 246 })) < 4.5) wrong.push(`${named(one)} in a drawing: faint`);
}
for (const one of every("input:not([type=hidden], [type=file], [type=checkbox], [type=radio]), select, textarea")) {
  if (!shown(one)) continue;
  const edge = parts(getComputedStyle(one).borderTopColor);
  if (ratio(over(edge, behind(one.parentElement)), behind(one.parentElement)) < 3) wrong.push(`${named(one)}: its edge is faint`);
}

// Size of what is pressed: 24 px anywhere (a link in a sentence may be smaller), 44 px where hands are wet.
const least = capture ? 44 : 24;
for (const one of every("main button, main input:not([type=hidden]), main select, main textarea, main summary, main a[href], header button, header a[href], header input")) {
  if (!shown(one) || one.closest("svg")) continue;
  const inside = one.matches("input[type=checkbox], input[type=radio], input[type=file]") ? one.closest("label") ?? one : one;
  const box = inside.getBoundingClientRect();
  const sentence = one.matches("a[href]") && getComputedStyle(one).display === "inline";
  const wanted = one.matches("a[href], summary") || !one.closest("form.record, form.badge, .names, .tiles, form.seconds") ? Math.min(least, one.closest(".tiles, .names") ? 44 : 24) : least;
  if (!sentence && box.right > 0 && (box.height < wanted - 0.5 || box.width < Math.min(wanted, 44) - 0.5)) wrong.push(`${named(one)}: ${Math.round(box.width)} by ${Math.round(box.height)} px`);
}
return wrong;
