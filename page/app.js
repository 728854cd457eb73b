/* The workbench: starts everything, leads between its rooms, and carries what is common to all views. */

import { AdviceView } from "./advice.js";
import { Bench } from "./bench.js";
import { CompareView } from "./compare.js";
import { Core, fetchModule } from "./core.js";
import { DeskView } from "./desk.js";
import { make, percent, rounded, the } from "./dom.js";
import { FormView } from "./form.js";
import { Helper } from "./helper.js";
import * as http from "./http.js";
import { LedgerView } from "./ledger.js";
import { NumbersView } from "./numbers.js";
import { PlanStore } from "./plan_store.js";
import { RibbonView } from "./ribbon.js";
import { StageView } from "./stage.js";
import { TextPane } from "./text_pane.js";
import { setLengths } from "./units.js";
import { WarningsView } from "./warnings.js";
import { openWorkings } from "./working.js";

/** @typedef {{update: () => void}} View */

const LATER_MS = 120; /* after the last change: what may lag behind it */

/** What the browser keeps of a setting. @param {string} name @returns {string} */
function kept(name) {
  try {
    return localStorage.getItem(`owllight.${name}`) ?? "";
  } catch {
    return "";
  }
}

/** @param {string} name @param {string} value */
function keep(name, value) {
  try {
    localStorage.setItem(`owllight.${name}`, value);
  } catch {
    /* it then holds for this visit */
  }
}

/** A notice over the page until it is sent away. @param {Node | string} words @param {Record<string, () => void>} [deeds] */
function notice(words, deeds = {}) {
  const box = make("div", { class: "notice" }, make("span", {}, words));
  for (const [name, act] of Object.entries({ ...deeds, Close: () => {} }))
    box.append(make("button", { type: "button", onclick: () => {
      box.remove();
      act();
    } }, name));
  the("notices").append(box);
}

class Workbench {
  constructor() {
    this.store = new PlanStore();
    /** @type {Bench | null} */
    this.bench = null;
    /** @type {View[]} shown with every change */
    this.atOnce = [];
    /** @type {View[]} shown when changes pause */
    this.later = [];
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.waiting = undefined;
    this.cardOpened = false;
    this.drawnOnce = false;
    /** @type {TextPane | null} */
    this.text = null;
  }

  async start() {
    this.#settings();
    this.#rooms();
    this.#deeds();
    try {
      const [module] = await Promise.all([fetchModule(), this.#open()]);
      await this.#build(module);
    } catch (fault) {
      notice(`The workbench could not start: ${fault instanceof Error ? fault.message : fault}`);
    }
  }

  async #open() {
    const draft = await this.store.open();
    if (!draft) return;
    const at = new Date(draft.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    notice(`Taken up again: what you had not saved at ${at}.`, { "Back to the file": () => this.store.undo() });
  }

  /** @param {WebAssembly.Module} module */
  async #build(module) {
    const bench = new Bench(await Core.of(module), this.store);
    this.bench = bench;
    const hire = () => new Helper(module, bench, notice);
    const ledger = new LedgerView(the("ledger"), bench, hire());
    const compare = new CompareView(the("compare"), bench, () => ledger.ledger);
    const text = new TextPane(the("text-pane"), bench);
    this.text = text;
    this.atOnce = [new StageView(the("stage"), bench), new FormView(the("form"), bench), text,
      { update: () => this.#showState() }, { update: () => this.#showComplaints() },
      new NumbersView(the("numbers"), bench), ledger];
    this.later = [new WarningsView(the("warnings"), bench), new DeskView(the("desk"), bench, hire()),
      new RibbonView(the("ribbon"), bench), new AdviceView(the("advice"), bench, hire), compare];
    ledger.addEventListener("ledger", () => {
      this.#showVerdict(ledger.ledger);
      compare.update();
    });
    the("hold").addEventListener("click", () => {
      compare.hold();
      notice("Held as A. Go on: what differs stands under 'A and B'.");
    });
    openWorkings((key) => (bench.fresh ? bench.core.working(key) : null));
    bench.addEventListener("plan", () => this.#showAll());
    bench.refresh();
  }

  #showAll() {
    for (const view of this.atOnce) view.update();
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => {
      for (const view of this.later) view.update();
    }, this.drawnOnce ? LATER_MS : 0);
    this.drawnOnce ||= Boolean(this.bench?.fresh);
  }

  #showState() {
    const { store, bench } = this;
    the("plan-name").textContent = store.name;
    the("plan-state").textContent = store.changed ? "not saved" : "saved";
    const title = `${store.changed ? "* " : ""}${store.name} - owllight`;
    if (document.title !== title) document.title = title; /* telling the browser anew costs more than the plan */
    the("undo").toggleAttribute("disabled", !store.canUndo);
    the("redo").toggleAttribute("disabled", !store.canRedo);
    the("save").toggleAttribute("disabled", !store.changed);
    the("hold").toggleAttribute("disabled", !bench?.fresh);
    document.body.classList.toggle("stale", !bench?.fresh);
  }

  #showComplaints() {
    const { bench } = this;
    if (!bench) return;
    const trouble = bench.trouble && bench.sound ? make("p", { class: "fault", role: "alert" }, bench.trouble) : "";
    the("complaints").replaceChildren(trouble, bench.complaints.length === 0 ? "" : make("div", { class: "complaints" },
      make("p", {}, bench.complaints.length === 1 ? "One thing to mend; the numbers wait for it:"
        : `${bench.complaints.length} things to mend; the numbers wait for them:`),
      make("ul", {}, bench.complaints.map((complaint) => make("li", {}, complaint.line > 0
        ? make("button", { type: "button", class: "quiet", onclick: () => {
          this.#showAs("text");
          this.text?.goTo(complaint);
        } }, `line ${complaint.line}`) : "", ` ${complaint.words}`)))));
  }

  /** @param {import("./core.js").Ledger | null} ledger */
  #showVerdict(ledger) {
    if (!ledger || !this.bench) return;
    const cautions = this.bench.warnings.filter((one) => one.caution).length;
    const losses = ledger.ledger.filter((row) => row.row !== "keeper").sort((a, b) => b.first.mean - a.first.mean);
    const worst = losses[0];
    the("verdict").replaceChildren(
      make("strong", {}, `${rounded(ledger.keepers.mean)} keepers`), ` in ${ledger.nights} nights; `,
      `${percent(ledger["odds by night"].at(-1) ?? 0)} of seasons bring one; `,
      worst && worst.first.mean > 0 ? `most are lost as ${worst.row} (${rounded(worst.first.mean)})` : "no pass is lost",
      cautions > 0 ? make("span", { class: "danger" }, `; ${cautions} caution${cautions > 1 ? "s" : ""}`) : "");
  }

  #deeds() {
    the("undo").addEventListener("click", () => this.store.undo());
    the("redo").addEventListener("click", () => this.store.redo());
    the("save").addEventListener("click", () => this.#save());
    the("as-form").addEventListener("click", () => this.#showAs("form"));
    the("as-text").addEventListener("click", () => this.#showAs("text"));
    document.addEventListener("keydown", (event) => this.#press(event));
    window.addEventListener("pagehide", () => this.store.keepDraft());
    document.addEventListener("visibilitychange", () => this.store.keepDraft());
  }

  /** The keys every program has: save, undo, redo. @param {KeyboardEvent} event */
  #press(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    if (the("plan-room").hidden || document.querySelector("dialog[open]")) return;
    const key = event.key.toLowerCase();
    if (key === "s") this.#save();
    else if (key === "z" && !event.shiftKey) this.store.undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) this.store.redo();
    else return;
    event.preventDefault();
    const focused = document.activeElement;
    if (key !== "s" && focused instanceof HTMLInputElement) { /* its entry follows the plan, not what was typed */
      focused.blur();
      focused.focus();
    }
  }

  async #save() {
    if (!this.store.changed) return;
    try {
      const theirs = await this.store.save();
      if (theirs) this.#conflict(theirs);
    } catch (fault) {
      notice(`Not saved: ${fault instanceof Error ? fault.message : fault} Your text is kept in this browser.`);
    }
  }

  /** The file was changed by someone else: whose text is to hold? @param {{text: string, stamp: string}} theirs */
  #conflict(theirs) {
    const dialog = make("dialog", { class: "conflict", "aria-labelledby": "conflict-title" });
    /** @param {() => void} act */
    const end = (act) => () => {
      dialog.close();
      dialog.remove();
      act();
    };
    const differing = theirs.text.split("\n").filter((line) => !this.store.text.split("\n").includes(line));
    dialog.append(make("h2", { id: "conflict-title" }, "The file was changed meanwhile"),
      make("p", {}, "Another program wrote to this plan's file after you opened it. Lines that stand only in the file:"),
      make("pre", { tabindex: "0" }, differing.join("\n") || "(none: lines were only taken out or moved)"),
      make("div", { class: "row" },
        make("button", { type: "button", class: "chief", onclick: end(() => {
          this.store.settle(theirs, false);
          this.#save();
        }) }, "Keep mine, over the file"),
        make("button", { type: "button", onclick: end(() => this.store.settle(theirs, true)) },
          "Take the file's (Undo brings mine back)"),
        make("button", { type: "button", onclick: end(() => {}) }, "Decide later")));
    document.body.append(dialog);
    dialog.showModal();
  }

  /** @param {"form" | "text"} how */
  #showAs(how) {
    the("form").hidden = how !== "form";
    the("text-pane").hidden = how !== "text";
    the("as-form").setAttribute("aria-pressed", String(how === "form"));
    the("as-text").setAttribute("aria-pressed", String(how === "text"));
    this.text?.update();
  }

  #settings() {
    const look = /** @type {HTMLSelectElement} */ (the("look"));
    look.value = kept("look");
    look.addEventListener("change", () => {
      keep("look", look.value);
      if (look.value) document.documentElement.dataset.look = look.value;
      else delete document.documentElement.dataset.look;
    });
    const lengths = /** @type {HTMLSelectElement} */ (the("lengths"));
    lengths.value = kept("lengths") || "metric";
    const take = () => {
      setLengths(lengths.value);
      document.documentElement.dataset.lengths = lengths.value;
    };
    take();
    lengths.addEventListener("change", () => {
      keep("lengths", lengths.value);
      take();
      if (this.bench) this.#showAll();
    });
  }

  #rooms() {
    const go = () => {
      const [room, part] = location.hash.slice(1).split("/");
      const card = room === "card";
      the("plan-room").hidden = card;
      the("card-room").hidden = !card;
      the("deeds").hidden = card;
      for (const [id, here] of /** @type {[string, boolean][]} */ ([["go-plan", !card], ["go-card", card]]))
        if (here) the(id).setAttribute("aria-current", "page");
        else the(id).removeAttribute("aria-current");
      if (card) this.#openCard();
      if (part) document.getElementById(part)?.scrollIntoView({ block: "start" });
    };
    window.addEventListener("hashchange", go);
    go();
  }

  async #openCard() {
    if (this.cardOpened) return;
    this.cardOpened = true;
    const root = the("card-room");
    try {
      const name = "./card.js";
      const { open } = await import(name);
      await open(root, http);
    } catch {
      this.cardOpened = false;
      root.replaceChildren(make("p", { class: "notice" }, "The card's room is not part of this build."));
    }
  }
}

new Workbench().start();
