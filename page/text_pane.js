/* The plan as text: a textarea with a copy of its lines behind it, which carries the underlines and the messages. */

import { make } from "./dom.js";

/** @typedef {import("./bench.js").Bench} Bench */

export class TextPane {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.root = root;
    this.bench = bench;
    this.numbers = make("div", { class: "line-numbers", "aria-hidden": "true" });
    this.mirror = make("pre", { class: "mirror", "aria-hidden": "true" });
    this.area = make("textarea", { class: "plan-text", "aria-label": "The plan's text", spellcheck: "false",
      autocapitalize: "off", autocomplete: "off", wrap: "off" });
    this.area.addEventListener("input", () => bench.store.edit(this.area.value, "text"));
    this.area.addEventListener("blur", () => bench.store.endStep());
    this.area.addEventListener("scroll", () => this.#follow());
    root.append(make("div", { class: "text-frame" }, this.numbers, make("div", { class: "text-stack" }, this.mirror, this.area)));
  }

  update() {
    const text = this.bench.store.text;
    if (this.root.hidden) return; /* it is brought up to date when it is shown */
    if (this.area.value !== text) {
      const { selectionStart, scrollTop } = this.area;
      this.area.value = text;
      if (document.activeElement === this.area) this.area.setSelectionRange(selectionStart, selectionStart);
      this.area.scrollTop = scrollTop;
    }
    const lines = text.split("\n");
    const wrong = new Map(this.bench.complaints.map((complaint) => [complaint.line, complaint]));
    this.numbers.replaceChildren(...lines.map((_, i) =>
      make("span", { class: wrong.has(i + 1) ? "wrong" : null }, String(i + 1))));
    this.mirror.replaceChildren(...lines.flatMap((line, i) => this.#mirrored(line, wrong.get(i + 1))));
    this.#follow();
  }

  /** @param {string} line @param {import("./core.js").Complaint | undefined} complaint @returns {(Node | string)[]} */
  #mirrored(line, complaint) {
    if (!complaint) return [`${line}\n`];
    const from = Math.max(0, complaint.column - 1);
    const letters = Array.from(line);
    const to = Math.max(from + 1, from + complaint.width);
    return [letters.slice(0, from).join(""), make("mark", {}, letters.slice(from, to).join("") || " "),
      letters.slice(to).join(""), make("span", { class: "said" }, `   ${complaint.words}`), "\n"];
  }

  #follow() {
    this.mirror.scrollTop = this.numbers.scrollTop = this.area.scrollTop;
    this.mirror.scrollLeft = this.area.scrollLeft;
  }

  /** Puts the cursor where a complaint is. @param {import("./core.js").Complaint} complaint */
  goTo(complaint) {
    const lines = this.area.value.split("\n");
    const before = lines.slice(0, Math.max(0, complaint.line - 1)).reduce((sum, line) => sum + line.length + 1, 0);
    const from = before + Math.max(0, complaint.column - 1);
    this.area.focus();
    this.area.setSelectionRange(from, from + complaint.width);
    this.area.scrollTop = Math.max(0, complaint.line - 4) * parseFloat(getComputedStyle(this.area).lineHeight);
  }
}
