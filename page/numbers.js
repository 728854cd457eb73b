/* Every number the plan comes to, in groups; each opens its working. */

import { make, nameOf, workingButton } from "./dom.js";
import { shown } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./core.js").Result} Result */

export class NumbersView {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.root = root;
    this.bench = bench;
    this.shape = "";
    /** @type {Map<string, HTMLButtonElement>} */
    this.buttons = new Map();
    /** @type {Set<string>} */
    this.open = new Set();
  }

  update() {
    if (!this.bench.fresh) return;
    const shape = this.bench.results.map((one) => one.key).join();
    if (shape !== this.shape) this.#build(shape);
    for (const result of this.bench.results) {
      const button = this.buttons.get(result.key);
      const words = shown(result.words);
      if (!button || button.textContent === words) continue;
      button.textContent = words;
      button.setAttribute("aria-label", `${nameOf(result)}: ${words}. Show how it is worked out`);
    }
  }

  /** @param {string} shape */
  #build(shape) {
    this.shape = shape;
    this.buttons.clear();
    /** @type {Map<string, Result[]>} */
    const groups = new Map();
    for (const result of this.bench.results) {
      const group = result.group || result.key.split(".")[0];
      groups.set(group, [...(groups.get(group) ?? []), result]);
    }
    if (this.open.size === 0) this.open.add([...groups.keys()][0] ?? "");
    this.root.replaceChildren(...[...groups].map(([name, results]) => this.#group(name, results)));
  }

  /** @param {string} name @param {Result[]} results */
  #group(name, results) {
    const details = make("details", { class: "group", open: this.open.has(name) }, make("summary", {}, make("h3", {}, name)),
      make("dl", {}, results.map((result) => this.#entry(result))));
    details.addEventListener("toggle", () => {
      if (details.open) this.open.add(name);
      else this.open.delete(name);
    });
    return details;
  }

  /** @param {Result} result */
  #entry(result) {
    const button = workingButton(result.key, shown(result.words), nameOf(result));
    this.buttons.set(result.key, button);
    return make("div", {}, make("dt", {}, nameOf(result)), make("dd", {}, button));
  }
}
