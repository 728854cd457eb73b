/* What the plan warns of, the dearest first; where the mending is a change of the plan, a button does it. */

import { make, percent } from "./dom.js";
import { lengthsNow, shown } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */

export class WarningsView {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.root = root;
    this.bench = bench;
    this.words = "";
  }

  update() {
    if (!this.bench.fresh) return;
    const words = JSON.stringify(this.bench.warnings) + lengthsNow();
    if (words === this.words) return;
    this.words = words;
    this.root.replaceChildren(this.bench.warnings.length > 0
      ? make("ol", { class: "warnings" }, this.bench.warnings.map((warning) => this.#warning(warning)))
      : make("p", {}, "Nothing to warn of."));
  }

  /** @param {import("./core.js").Warning} warning */
  #warning(warning) {
    const change = warning["change words"] ?? warning.change;
    const deeds = warning.do ?? [];
    return make("li", { class: warning.caution ? "danger" : null },
      make("p", {}, warning.caution && make("strong", {}, "Caution: "), shown(warning.what),
        warning.loses > 0 && make("span", { class: "loses" }, ` loses ${percent(warning.loses)} of passes`)),
      change && make("p", { class: "change" }, shown(change)),
      deeds.length > 0 && make("button", { type: "button", onclick: () => this.#do(deeds),
        "aria-label": `Do it: ${deeds.map((deed) => `${deed.field} = ${deed.words}`).join(", ")}` }, "Do it: ",
        deeds.map((deed) => `${deed.field} = ${shown(deed.words)}`).join(", ")));
  }

  /** @param {import("./core.js").Change[]} deeds */
  #do(deeds) {
    const no = this.bench.change(deeds, "");
    if (no) this.root.prepend(make("p", { class: "fault", role: "alert" }, no));
  }
}
