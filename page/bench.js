/* The plan as it stands, worked out: reads the text whenever it changes, keeps the last sound outcome, and tells the views. */

import { REPORT } from "./core.js";
import { postForBytes } from "./http.js";

/** @typedef {import("./core.js").Core} Core */
/** @typedef {import("./core.js").Change} Change */
/** @typedef {import("./core.js").Field} Field */
/** @typedef {import("./core.js").Section} Section */
/** @typedef {import("./plan_store.js").PlanStore} PlanStore */

const SKIES_KEPT = 8;

export class Bench extends EventTarget {
  /** @param {Core} core @param {PlanStore} store */
  constructor(core, store) {
    super();
    this.core = core;
    this.store = store;
    /** Counts what was worked out; answers of workers name it. */
    this.turn = 0;
    /** @type {import("./core.js").Complaint[]} */
    this.complaints = [];
    /** Whether the text as it stands is a plan. */
    this.sound = false;
    /** Whether the numbers are those of the text as it stands. */
    this.fresh = false;
    /** @type {import("./core.js").Form | null} */
    this.form = null;
    /** @type {import("./core.js").Result[]} */
    this.results = [];
    /** @type {import("./core.js").Warning[]} */
    this.warnings = [];
    /** @type {import("./core.js").Night[]} */
    this.nights = [];
    /** @type {Uint8Array | null} */
    this.sky = null;
    this.soundText = "";
    this.trouble = "";
    this.took_ms = 0;
    /** @type {Map<string, Uint8Array>} */
    this.skies = new Map();
    this.asking = "";
    store.addEventListener("change", () => this.refresh());
  }

  /** Reads and works out the text as it stands. */
  refresh() {
    const began = performance.now();
    this.sound = this.core.read(this.store.text) === 0;
    this.complaints = this.sound ? [] : this.core.complaints();
    this.fresh = false;
    this.form = this.core.form();
    if (this.sound) {
      this.soundText = this.store.text;
      this.#workOut();
    }
    this.took_ms = performance.now() - began;
    performance.measure("owllight-numbers", { start: began });
    this.#tell();
  }

  #workOut() {
    const key = this.core.skyKey();
    const sky = this.skies.get(key);
    if (!sky) {
      this.#askForSky(key);
      return;
    }
    if (!this.core.evaluate(sky)) {
      this.trouble = "A formula does not hold for this plan.";
      return;
    }
    this.trouble = "";
    this.sky = sky;
    this.fresh = true;
    this.turn += 1;
    this.results = this.core.report(REPORT.results)?.results ?? [];
    const warned = this.core.report(REPORT.warnings);
    this.warnings = Array.isArray(warned) ? warned : warned?.warnings ?? [];
    this.nightsRead = false;
  }

  /** The nights, read from the core when first asked for. */
  theNights() {
    if (!this.nightsRead && this.sound) {
      const told = this.core.report(REPORT.nights);
      this.nights = Array.isArray(told) ? told : told?.nights ?? [];
      this.nightsRead = true;
    }
    return this.nights;
  }

  /** @param {string} key */
  async #askForSky(key) {
    if (this.asking === key) return;
    this.asking = key;
    try {
      const sky = await postForBytes("/api/sky", { text: this.store.text });
      if (this.skies.size >= SKIES_KEPT) this.skies.delete(/** @type {string} */ (this.skies.keys().next().value));
      this.skies.set(key, sky);
      this.trouble = "";
    } catch (fault) {
      this.trouble = fault instanceof Error ? fault.message : String(fault);
      this.asking = "";
      this.#tell();
      return;
    }
    this.asking = "";
    this.refresh();
  }

  #tell() {
    this.dispatchEvent(new Event("plan"));
  }

  /** @param {string} section @param {number} nth @returns {Section | undefined} */
  section(section, nth = 0) {
    return this.form?.sections.find((one) => one.name === section && one.nth === nth);
  }

  /** @param {string} section @param {string} field @param {number} [nth] @returns {Field | undefined} */
  field(section, field, nth = 0) {
    return this.section(section, nth)?.fields.find((one) => one.name === field);
  }

  /** @param {string} key @returns {import("./core.js").Result | undefined} */
  result(key) {
    return this.results.find((one) => one.key === key);
  }

  /**
   * Writes changes into the plan's text, as one step; why not, or null.
   * @param {Change[]} changes @param {string} what names the step, so that repeated ones join
   * @returns {string | null}
   */
  change(changes, what) {
    let text = this.store.text;
    try {
      for (const change of changes) {
        const section = this.section(change.section, change.nth) ?? this.section(change.section);
        const field = section?.fields.find((one) => one.name === change.field);
        if (!section || !field) throw new Error(`The plan has no ${change.section}.${change.field}.`);
        text = this.core.change(section.section, change.nth, field.field, change.words);
      }
    } catch (fault) {
      if (text !== this.store.text) this.refresh();
      return fault instanceof Error ? fault.message : String(fault);
    }
    this.store.edit(text, what);
    return null;
  }

  /** Takes a field's line out, so that the usual value holds again. @param {number} line from 1 @param {string} what */
  removeLine(line, what) {
    const lines = this.store.text.split("\n");
    lines.splice(line - 1, 1);
    this.store.edit(lines.join("\n"), what);
  }

  /** Takes a section out whole. @param {Section} section */
  removeSection(section) {
    const lines = this.store.text.split("\n");
    if (section.line <= 0) return;
    let from = section.line - 1;
    while (from > 0 && !/^\s*\[/.test(lines[from])) from -= 1;
    let to = from + 1;
    while (to < lines.length && !/^\s*\[/.test(lines[to])) to += 1;
    lines.splice(from, to - from);
    this.store.edit(lines.join("\n"), "");
  }

  /** Adds a section at the end. @param {string} heading @param {string[]} lines */
  addSection(heading, lines) {
    const text = this.store.text.replace(/\n*$/, "\n");
    this.store.edit(`${text}\n[${heading}]\n${lines.join("\n")}\n`, "");
  }
}
