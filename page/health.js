/* How the rig fares, read from its own frames: findings as sentences with what to do, and the counts of nights and hours. */
import { make } from "./dom.js";
import { draw, wordsOf } from "./card_dom.js";
import { clock, day, shortDay } from "./card_book.js";

/** @typedef {import("./card_types.js").Finding} Finding */
/** @typedef {{label: string, full: string, parts: number[], more: number[]}} Bar */

const WIDE = 340; /* of a chart, in its own measure */
const HIGH = 84;
const FOOT = 16;
const GAP = 0.18; /* of a bar's room */

/** @param {Finding} finding */
function since({ from, to }) {
  if (from === null) return null;
  const first = `${day(from)}, ${clock(from)}`;
  return make("p", { class: "when" }, to === null || to === from ? first : `${first} to ${day(to)}, ${clock(to)}`);
}

/** @param {Finding} finding */
function findingItem(finding) {
  return make(
    "li",
    {},
    make("p", { class: "found" }, finding.words),
    since(finding),
    make("p", { class: "do" }, make("b", {}, "What to do: "), finding.advice),
    make("details", { class: "worked" }, make("summary", {}, "The working"), make("p", {}, finding.working)),
  );
}

/** The findings under their gravity, in the order they come: the gravest first. @param {Finding[]} findings */
function findingList(findings) {
  if (findings.length === 0) return [make("p", {}, "Nothing wrong was found in these frames.")];
  const kinds = [...new Set(findings.map((finding) => finding.severity))];
  return kinds.map((kind) =>
    make(
      "section",
      { class: `gravity ${kind.toLowerCase().replaceAll(" ", "-")}` },
      make("h4", {}, kind),
      make("ul", {}, ...findings.filter((finding) => finding.severity === kind).map(findingItem)),
    ),
  );
}

/**
 * Bars of two parts one on the other: what was seen, and frames with nobody as an open frame.
 * @param {Bar[]} bars @param {string} said @param {number} every how many bars have one label
 */
function chart(bars, said, every) {
  const most = Math.max(1, ...bars.map(({ parts }) => parts.reduce((sum, part) => sum + part, 0)));
  const room = WIDE / Math.max(bars.length, 1),
    scale = (HIGH - 4) / most;
  const svg = draw(
    "svg",
    { viewBox: `0 0 ${WIDE} ${HIGH + FOOT}`, role: "img", "aria-label": said, class: "bars" },
    draw("path", { class: "floor", d: `M0 ${HIGH}H${WIDE}` }),
  );
  bars.forEach(({ label, full, parts }, i) => {
    let top = HIGH;
    parts.forEach((part, kind) => {
      top -= part * scale;
      if (part > 0)
        svg.append(
          draw(
            "rect",
            { class: `part-${kind}`, x: (i + GAP / 2) * room, y: top, width: room * (1 - GAP), height: part * scale },
            draw("title", {}, `${full}: ${parts[0]} with a subject, ${parts[1]} with nobody`),
          ),
        );
    });
    if (i % every === 0) svg.append(draw("text", { x: i * room, y: HIGH + FOOT - 4 }, label));
  });
  return svg;
}

/** @param {string} first @param {string[]} heads @param {Bar[]} bars */
function table(first, heads, bars) {
  const head = make("tr", {}, ...[first, ...heads].map((words) => make("th", { scope: "col" }, words)));
  const rows = bars.map(({ full, parts, more }) =>
    make(
      "tr",
      {},
      make("th", { scope: "row" }, full),
      ...[...more, ...parts].map((count) => make("td", {}, String(count))),
    ),
  );
  return make(
    "div",
    { class: "wide", tabindex: 0, role: "region", "aria-label": `Numbers by ${first}` },
    make("table", { class: "count" }, make("thead", {}, head), make("tbody", {}, ...rows)),
  );
}

/** The table is made when it is first opened. @param {string} words @param {Element} svg @param {() => Element} numbers */
function chartOf(words, svg, numbers) {
  const details = make("details", { ontoggle: show }, make("summary", {}, "The numbers"));
  function show() {
    if (details.open && details.childElementCount === 1) details.append(numbers());
  }
  return make(
    "figure",
    { class: "chart" },
    make("figcaption", {}, words),
    svg,
    make(
      "p",
      { class: "legend" },
      make("i", { class: "part-0" }),
      " with a subject ",
      make("i", { class: "part-1" }),
      " with nobody",
    ),
    details,
  );
}

/** @param {import("./card_types.js").Health} health */
function nights(health) {
  const bars = health.nights.map((night) => ({
    label: shortDay(night.noon),
    full: `Night of ${day(night.noon)}`,
    parts: [night.subjects, night.empties],
    more: [night.frames, night.fogged, night.misfires],
  }));
  const most = Math.max(0, ...health.nights.map((night) => night.frames));
  const svg = chart(
    bars,
    `Frames of each night: ${bars.length} nights with frames, at most ${most} in one`,
    Math.ceil(bars.length / 6),
  );
  return chartOf("Night by night", svg, () =>
    table("night", ["frames", "fogged", "misfires", "with a subject", "with nobody"], bars),
  );
}

/** From noon to noon, so that a night stays in one piece. @param {import("./card_types.js").Health} health */
function hours(health) {
  const turned = [...health.hours].sort((a, b) => ((a.hour + 12) % 24) - ((b.hour + 12) % 24));
  const bars = turned.map((hour) => ({
    label: `${hour.hour} h`,
    full: `${hour.hour} h to ${(hour.hour + 1) % 24} h`,
    parts: [hour.subjects, hour.empties],
    more: [hour.frames],
  }));
  const busiest = turned.reduce((best, hour) => (hour.frames > best.frames ? hour : best), turned[0]);
  const svg = chart(
    bars,
    `Frames of each hour from noon to noon; most, ${busiest?.frames ?? 0}, from ${busiest?.hour ?? 0} h`,
    3,
  );
  return chartOf("Hour by hour, by the camera's clock", svg, () =>
    table("hour", ["frames", "with a subject", "with nobody"], bars),
  );
}

/**
 * Fills `host` with the health of the open card.
 * @param {HTMLElement} host @param {import("./card_types.js").Http} http
 */
export async function showHealth(host, http) {
  try {
    const health = await http.getJson("/api/health");
    host.replaceChildren(
      ...findingList(health.findings),
      health.nights.length ? nights(health) : "",
      health.hours.some((/** @type {{frames: number}} */ hour) => hour.frames > 0) ? hours(health) : "",
    );
  } catch (error) {
    host.replaceChildren(make("p", { class: "trouble" }, wordsOf(error)));
  }
}
