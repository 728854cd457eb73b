/* Advice: settings that win keepers, found by rehearsing many candidates; each is accepted on its own, and can be undone. */

import { make, rounded } from "./dom.js";
import { shown } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./core.js").Proposal} Proposal */

export class AdviceView {
  /** @param {HTMLElement} root @param {Bench} bench 
   * @param {() => import("./helper.js").Helper} hire a worker, when it is first needed */
  constructor(root, bench, hire) {
    this.bench = bench;
    this.hire = hire;
    /** @type {import("./helper.js").Helper | null} */
    this.helper = null;
    this.turn = 0;
    this.look = make("button", { type: "button", disabled: true, onclick: () => this.#look() }, "Look for better settings");
    this.stop = make("button", { type: "button", hidden: true, onclick: () => this.#stop() }, "Stop looking");
    this.said = make("p", { class: "help", role: "status" });
    this.list = make("div");
    root.append(make("div", { class: "row" }, this.look, this.stop), this.said, this.list);
  }

  update() {
    this.look.disabled = !this.bench.fresh || !this.stop.hidden;
    if (this.list.childElementCount > 0 && this.turn !== this.bench.turn && this.stop.hidden)
      this.said.textContent = "The plan has changed since: what is listed was found for the plan before.";
  }

  #look() {
    this.turn = this.bench.turn;
    this.list.replaceChildren();
    this.stop.hidden = false;
    this.look.disabled = true;
    this.said.textContent = "Rehearsing candidates ...";
    if (!this.helper) {
      this.helper = this.hire();
      this.helper.on("advise", (told) => this.#show(told));
    }
    this.helper.ask({ job: "advise", turn: this.turn });
  }

  #stop() {
    this.helper?.stop("advise");
    this.#rest("Stopped.");
  }

  /** @param {string} words */
  #rest(words) {
    this.stop.hidden = true;
    this.look.disabled = !this.bench.fresh;
    this.said.textContent = words;
  }

  /** @param {{turn: number, steps?: number, whole?: boolean, advice?: import("./core.js").Advice | null}} told */
  #show(told) {
    if (told.turn !== this.turn || this.stop.hidden) return;
    if (!told.whole) {
      this.said.textContent = `Rehearsing candidates: ${told.steps} shares of seasons done.`;
      return;
    }
    const { advice } = told;
    if (!advice) {
      this.#rest("This plan cannot be rehearsed.");
      return;
    }
    this.#rest(`${advice.candidates} candidates rehearsed; as planned ${rounded(advice.keepers)} keepers of ` +
      `${rounded(advice.passes)} passes. ` + "In brackets the 90 % interval of the gain.");
    const together = advice.together && advice.together.changes.length > 0 ? advice.together : null;
    this.list.replaceChildren(
      advice.alone.length === 0 && !together ? make("p", {}, "No change is worth making.") : "",
      together ? make("section", { class: "together" }, make("h3", {}, "The best together"), this.#proposal(together)) : "",
      make("h3", {}, "One change alone"),
      make("ol", { class: "advice" }, advice.alone.map((one) => make("li", {}, this.#proposal(one)))));
    if (this.turn !== this.bench.turn) this.update();
  }

  /** @param {Proposal} proposal */
  #proposal(proposal) {
    const { gain } = proposal;
    const accept = make("button", { type: "button" }, "Accept");
    const said = make("span", { class: "fault", role: "alert" });
    accept.addEventListener("click", () => {
      const no = this.#accept(proposal);
      said.textContent = no ?? "";
      if (!no) {
        accept.textContent = "Accepted";
        accept.disabled = true;
      }
    });
    return make("div", { class: "proposal" },
      make("ul", {}, proposal.changes.map((step) => make("li", {}, `${step.section}, ${step.field}: `,
        make("del", {}, shown(step.from)), " ", make("ins", {}, shown(step.to))))),
      make("p", {}, `wins ${rounded(gain.mean)} keepers (${rounded(gain.low)} to ${rounded(gain.high)}) `, accept, said));
  }

  /** @param {Proposal} proposal @returns {string | null} why not */
  #accept(proposal) {
    const changes = proposal.do ?? proposal.changes.map((step) => ({ ...this.#place(step), field: step.field, words: step.to }));
    return this.bench.change(changes, "");
  }

  /** Advice names a flash as the plan does: `flash key`. @param {import("./core.js").Step} step */
  #place(step) {
    const [section, ...name] = step.section.split(" ");
    if (name.length === 0) return { section, nth: step.nth ?? 0 };
    const named = name.join(" ");
    const found = this.bench.form?.sections.find((one) => one.name === section && one.own === named);
    return { section, nth: found?.nth ?? 0 };
  }
}
