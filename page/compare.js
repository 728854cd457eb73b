/* Two variants side by side: A is held as it was, B is the plan as it goes on. What differs is marked. */

import { make, nameOf, rounded, workingButton } from "./dom.js";
import { shown } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./core.js").Ledger} Ledger */
/** @typedef {{text: string, words: Map<string, string>, values: Map<string, number>, ledger: Ledger | null}} Variant */

export class CompareView {
  /** @param {HTMLElement} root @param {Bench} bench @param {() => Ledger | null} ledgerNow */
  constructor(root, bench, ledgerNow) {
    this.root = root;
    this.bench = bench;
    this.ledgerNow = ledgerNow;
    /** @type {Variant | null} */
    this.held = null;
    this.all = false;
    this.#empty();
  }

  #empty() {
    this.root.replaceChildren(make("p", { class: "help" },
      "'Hold as A' keeps the plan as it stands; go on changing it, and both stand here side by side."));
  }

  hold() {
    this.held = this.#now();
    this.update();
    this.root.scrollIntoView({ block: "nearest" });
  }

  /** @returns {Variant} */
  #now() {
    return { text: this.bench.store.text, ledger: this.ledgerNow(),
      words: new Map(this.bench.results.map((one) => [one.key, one.words])),
      values: new Map(this.bench.results.map((one) => [one.key, one.value ?? NaN])) };
  }

  #release() {
    this.held = null;
    this.#empty();
  }

  /** A becomes the plan, and what was the plan is held. */
  #swap() {
    const { held } = this;
    if (!held) return;
    const now = this.#now();
    this.held = now;
    this.bench.store.edit(held.text, "");
  }

  update() {
    const { held } = this;
    if (!held || !this.bench.fresh) return;
    const differing = this.bench.results.filter((one) => one.words !== held.words.get(one.key));
    const rows = this.all ? this.bench.results : differing;
    const both = make("input", { type: "checkbox", id: "compare-all", checked: this.all });
    both.addEventListener("change", () => {
      this.all = both.checked;
      this.update();
    });
    this.root.replaceChildren(
      make("div", { class: "row" }, make("button", { type: "button", onclick: () => this.#swap() }, "Change places"),
        make("button", { type: "button", onclick: () => this.#release() }, "Let A go"),
        make("label", { for: "compare-all" }, both, " also what is alike")),
      make("table", { class: "compare" }, make("caption", {}, differing.length === 0 ? "No number differs yet."
        : differing.length === 1 ? "One number differs." : `${differing.length} numbers differ.`),
        make("thead", {}, make("tr", {}, make("td"), ["A, held", "B, now"].map((words) => make("th", { scope: "col" }, words)))),
        make("tbody", {}, this.#keepers(held), this.#settings(held), rows.map((one) => this.#row(one, held)))));
  }

  /** @param {Variant} held */
  #keepers(held) {
    const [one, other] = [held.ledger, this.ledgerNow()];
    if (!one || !other) return null;
    const words = [one, other].map((ledger) => rounded(ledger.keepers.mean));
    return this.#line("keepers, rehearsed", words[0], words[1], one.keepers.mean !== other.keepers.mean);
  }

  /* Lines of the text that stand in one alone. */
  /** @param {Variant} held */
  #settings(held) {
    const lines = (/** @type {string} */ text) => {
      let heading = "";
      /** @type {Map<string, string>} */
      const found = new Map();
      for (const line of text.split("\n")) {
        heading = /^\s*\[(.+)\]/.exec(line)?.[1] ?? heading;
        const given = /^\s*([^#=[]+?)\s*=\s*([^#]*?)\s*(#.*)?$/.exec(line);
        if (given) found.set(`${heading}, ${given[1]}`, given[2]);
      }
      return found;
    };
    const [one, other] = [lines(held.text), lines(this.bench.store.text)];
    return [...new Set([...one.keys(), ...other.keys()])].filter((key) => one.get(key) !== other.get(key))
      .map((key) => this.#line(key, shown(one.get(key) ?? "as usual"), shown(other.get(key) ?? "as usual"), true, "setting"));
  }

  /** @param {import("./core.js").Result} result @param {Variant} held */
  #row(result, held) {
    const before = held.words.get(result.key);
    const rises = (result.value ?? NaN) > (held.values.get(result.key) ?? NaN);
    const differs = before !== result.words;
    const now = workingButton(result.key, shown(result.words), nameOf(result));
    return this.#line(nameOf(result), shown(before ?? "not there"), now, differs, differs ? (rises ? "more" : "less") : "");
  }

  /** @param {string} label @param {string} before @param {string | Node} now @param {boolean} differs @param {string} [kind] */
  #line(label, before, now, differs, kind = "") {
    const mark = { more: " (more)", less: " (less)" }[kind] ?? "";
    return make("tr", { class: `${differs ? "differs" : ""} ${kind}` }, make("th", { scope: "row" }, label),
      make("td", {}, before), make("td", {}, now, mark && make("small", {}, mark)));
  }
}
