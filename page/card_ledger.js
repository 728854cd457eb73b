/* The ledger before and after: what was rehearsed for as many visits as came, beside what came. */
import { make, percent } from "./dom.js";
import { draw } from "./card_dom.js";

/** @typedef {import("./card_types.js").Ledger} Ledger */
/** @typedef {import("./card_types.js").Observed} Observed */

const BAR_WIDE = 64;
const BAR_HIGH = 7;

/**
 * How many of so many visits were to end in each row, by the rehearsed share of each link: what fails at one link never reaches
 * the next.
 * @param {Observed} observed @param {number} visits @returns {Map<string, number>}
 */
export function expectedRows(observed, visits) {
  const rows = new Map();
  let left = visits;
  for (const { row, share } of observed.links) {
    rows.set(row, left * share);
    left *= 1 - share;
  }
  return rows.set("keeper", left);
}

/** What a change did to the ledger, in words. @param {Ledger} before @param {Ledger} after */
export function whatMoved(before, after) {
  const was = new Map(before.rows.map((row) => [row.row, row.first + row.unsure]));
  const moved = after.rows
    .map((row) => ({ row: row.row, from: was.get(row.row) ?? 0, to: row.first + row.unsure }))
    .filter(({ from, to }) => from !== to)
    .map(({ row, from, to }) => `${row} ${from} to ${to}`);
  return moved.length ? `The ledger moved: ${moved.join(", ")}.` : "The ledger stays as it was.";
}

/** @param {number} p */
function chance(p) {
  return p < 0.001 ? "under 0.1 %" : percent(p);
}

/**
 * Two bars, the rehearsed one open and the one that came filled.
 * @param {number|undefined} expected @param {number} came @param {number} most
 */
function pair(expected, came, most) {
  const long = (/** @type {number} */ value) => (value / most) * (BAR_WIDE - 1);
  const svg = draw("svg", { viewBox: `0 0 ${BAR_WIDE} ${2 * BAR_HIGH + 3}`, class: "pair", "aria-hidden": "true" });
  if (expected !== undefined)
    svg.append(draw("rect", { class: "before", x: 0.5, y: 0.5, width: long(expected), height: BAR_HIGH - 1 }));
  svg.append(draw("rect", { class: "after", x: 0, y: BAR_HIGH + 2, width: long(came), height: BAR_HIGH }));
  return svg;
}

/** Which link is the likeliest to blame, and how far that is to be believed. @param {Observed} observed */
function blameWords(observed) {
  const link = observed.links.find(({ row }) => row === observed.blamed);
  const whole =
    `Chance that a watch as rehearsed shows so unlikely a ledger: ${chance(observed.p)}` +
    (observed.exact ? " (exact test)." : ".");
  if (!link) return `Most likely all is as rehearsed (${percent(observed.none)}). ${whole}`;
  const way = link.failed > link.reached * link.share ? "more" : "less";
  return (
    `Likeliest to blame: ${link.row}, which failed ${way} often than rehearsed (${percent(link.blame)}; ` +
    `that all is as rehearsed: ${percent(observed.none)}). ${whole}`
  );
}

/** @param {string} what @param {import("./card_types.js").Counted|null} counted */
function countWords(what, counted) {
  if (!counted || counted.expected === null) return null;
  return make(
    "p",
    {},
    `${what}: ${counted.seen} came, ${counted.expected.toFixed(1)} rehearsed; chance of a number so far off: ` +
      `${chance(counted.p)}.`,
  );
}

/**
 * The table. `go` is called with the row whose visits are to be seen.
 * @param {Ledger} ledger @param {Observed|null} observed @param {Ledger|null} before to mark what has moved since
 * @param {(row: string) => void} go
 */
function ledgerTable(ledger, observed, before, go) {
  const sure = ledger.rows.reduce((sum, row) => sum + row.first, 0);
  const expected = observed ? expectedRows(observed, sure) : null;
  const most = Math.max(1, ...ledger.rows.map((row) => Math.max(row.first, expected?.get(row.row) ?? 0)));
  const heads = [
    "ends as",
    "",
    ...(expected ? ["as rehearsed"] : []),
    "came",
    "not sure",
    "mended alone, wins",
    ...(observed ? ["chance of a share so far off"] : []),
  ];
  const rows = ledger.rows.map((row) => {
    const was = before?.rows.find((other) => other.row === row.row);
    const moved = was && (was.first !== row.first || was.unsure !== row.unsure);
    const link = observed?.links.find((other) => other.row === row.row);
    const cells = [
      ...(expected ? [expected.has(row.row) ? /** @type {number} */ (expected.get(row.row)).toFixed(1) : ""] : []),
      String(row.first),
      row.unsure ? String(row.unsure) : "",
      row.row === "keeper" ? "" : String(row.only),
      ...(observed ? [link ? chance(link.p) : ""] : []),
    ];
    return make(
      "tr",
      { class: moved ? "moved" : null },
      make(
        "th",
        { scope: "row" },
        make(
          "button",
          {
            type: "button",
            class: "row-word",
            title: row.means,
            onclick: () => go(row.row),
            disabled: row.first + row.unsure === 0,
          },
          row.row,
        ),
      ),
      make("td", {}, pair(expected?.get(row.row), row.first, most)),
      ...cells.map((words) => make("td", {}, words)),
    );
  });
  const head = heads.map((words) => (words ? make("th", { scope: "col" }, words) : make("td", {})));
  return make(
    "table",
    { class: "count before-after" },
    make("thead", {}, make("tr", {}, ...head)),
    make("tbody", {}, ...rows),
  );
}

/**
 * @param {HTMLElement} host @param {Ledger} ledger @param {Observed|null} observed @param {Ledger|null} before
 * @param {(row: string) => void} go
 */
export function showLedger(host, ledger, observed, before, go) {
  const legend = make(
    "p",
    { class: "legend" },
    make("i", { class: "before" }),
    " as rehearsed, of as many visits ",
    make("i", { class: "after" }),
    " came",
  );
  const focused =
    document.activeElement instanceof HTMLElement && host.contains(document.activeElement)
      ? document.activeElement.textContent
      : null;
  host.replaceChildren(
    observed
      ? legend
      : make("p", {}, "No plan belongs to this card, so there is nothing rehearsed to hold it against."),
    make(
      "div",
      { class: "wide", tabindex: 0, role: "region", "aria-label": "Where the visits end" },
      ledgerTable(ledger, observed, before, go),
    ),
    observed ? make("p", { class: "blame" }, blameWords(observed)) : "",
    observed ? (countWords("Visits", observed.visits) ?? "") : "",
    observed ? (countWords("Frames with nobody", observed.empties) ?? "") : "",
    ledger.blind
      ? make("p", {}, `${ledger.blind} times no flash fired and nothing else tells whether somebody came.`)
      : "",
    make(
      "p",
      { class: "quiet" },
      "A card cannot show smeared and doubled, which count as keepers here, nor passes that left no picture.",
    ),
  );
  for (const button of host.querySelectorAll("button")) if (focused && button.textContent === focused) button.focus();
}
