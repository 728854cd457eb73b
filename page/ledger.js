/* The ledger of the rehearsal: a quick one at once, a finer one when nothing changes for a moment. */

import { drawing, make, percent, rounded } from "./dom.js";
import { lengthsNow, shown } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./core.js").Ledger} Ledger */

const SEASONS = 1000;
const NIGHT_WORDS = { 50: "an even chance", 80: "four in five", 95: "nineteen in twenty" };

export class LedgerView extends EventTarget {
  /** @param {HTMLElement} root @param {Bench} bench @param {import("./helper.js").Helper} helper */
  constructor(root, bench, helper) {
    super();
    this.bench = bench;
    this.helper = helper;
    this.askedFor = 0;
    /** @type {Ledger | null} */
    this.ledger = null;
    this.head = make("div", { class: "outlook" });
    this.note = make("p", { class: "help", role: "status" });
    this.body = make("tbody");
    this.table = make("table", { class: "ledger" },
      make("caption", {}, "Every pass ends in one row. 'Alone': what mending only this would win."),
      make("thead", {}, make("tr", {}, ["row", "passes", "share", "alone"].map((words) => make("th", { scope: "col" }, words)))),
      this.body);
    this.keepers = make("div", { class: "paper" });
    this.lasting = make("div", { class: "paper" });
    root.append(this.head, this.table, this.note,
      make("details", {}, make("summary", {}, "Night by night"), this.keepers, this.lasting));
    helper.on("rehearse", (told) => this.#show(told));
  }

  update() {
    if (!this.bench.fresh || !this.bench.sky || this.askedFor === this.bench.turn) return;
    this.askedFor = this.bench.turn;
    this.asked = performance.now();
    this.helper.ask({ job: "rehearse", turn: this.bench.turn, seasons: SEASONS });
  }

  /** @param {{turn: number, ledger: Ledger | null, whole: boolean, keepers: string | null, lasting: string | null}} told */
  #show(told) {
    if (told.turn !== this.bench.turn) return;
    this.ledger = told.ledger;
    if (!told.ledger) {
      this.note.textContent = "This plan cannot be rehearsed.";
      return;
    }
    if (!told.whole) this.note.dataset.took = String(Math.round(performance.now() - (this.asked ?? 0)));
    this.#showHead(told.ledger);
    this.#showRows(told.ledger);
    this.note.textContent = `${told.ledger.seasons} seasons rehearsed${told.whole ? "" : ", more to come"}; ` +
      `keepers to within ${rounded(told.ledger["keepers error"] * 1.645)} either way.`;
    this.#draw(this.keepers, told.keepers);
    this.#draw(this.lasting, told.lasting);
    this.dispatchEvent(new Event("ledger"));
  }

  /** Rows without a pass are named together, so that the rest can be taken in at a glance. @param {Ledger} ledger */
  #showRows(ledger) {
    const some = ledger.ledger.filter((row) => row.row === "keeper" || row.first.mean > 0);
    const none = ledger.ledger.filter((row) => !some.includes(row)).map((row) => row.row);
    this.body.replaceChildren(...some.map((row) => this.#row(row, ledger)));
    if (none.length > 0)
      this.body.append(make("tr", { class: "nothing" }, make("td", { colspan: 4 }, `no pass: ${none.join(", ")}`)));
  }

  /** @param {HTMLElement} place @param {string | null} words */
  #draw(place, words) {
    const svg = drawing(words);
    if (lengthsNow() !== "metric")
      for (const text of svg?.querySelectorAll("text") ?? []) text.textContent = shown(text.textContent ?? "");
    if (svg) place.replaceChildren(svg);
  }

  /** @param {Ledger} ledger */
  #showHead(ledger) {
    const any = ledger["odds by night"].at(-1) ?? 0;
    const nights = ledger["nights for percent"];
    this.head.replaceChildren(
      make("p", {}, make("strong", { class: "big" }, rounded(ledger.keepers.mean)),
        ` keepers in ${ledger.nights} nights, of ${rounded(ledger.passes.mean)} passes`),
      make("p", {}, `Nine seasons in ten bring ${ledger.keepers.low} to ${ledger.keepers.high}. `,
        make("strong", {}, percent(any)), " of seasons bring at least one."),
      make("p", {}, Object.entries(NIGHT_WORDS).map(([share, words]) => {
        const night = nights[share];
        return `${words}: ${typeof night === "number" ? `night ${Math.ceil(night)}` : "not in this watch"}`;
      }).join(" · ")));
  }

  /** @param {import("./core.js").LedgerRow} row @param {Ledger} ledger */
  #row(row, ledger) {
    const share = row.first.mean / Math.max(ledger.passes.mean, 1e-9);
    const bar = make("meter", { min: 0, max: 1, value: Math.min(share, 1), "aria-label": `${row.row}: share of passes` });
    return make("tr", { class: row.row === "keeper" ? "keeper" : null },
      make("th", { scope: "row" }, row.row, make("small", {}, row.means)),
      make("td", {}, rounded(row.first.mean)), make("td", { class: "share" }, bar, make("span", {}, percent(share))),
      make("td", {}, row.only ? rounded(row.only.mean) : ""));
  }
}
