/* The plan as questions, in the order of the job. Made from the core's form; every answer is written into the plan's text. */

import { make } from "./dom.js";
import { lengthsNow, shown, typed } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./core.js").Field} Field */
/** @typedef {import("./core.js").Section} Section */

/* What feeds and carries the rig, wherever the plan keeps it; and what is about care. */
const POWER = new Set(["cells", "cell kind", "cell capacity", "cell sets", "standby", "awake current", "awake time",
  "frame energy", "card", "frame size", "stored energy"]);
const CARE = new Set(["shy", "shy nights", "pupil", "trigger voltage", "socket limit"]);

/** @type {{name: string, sections: string[], takes?: Set<string>, adds?: string[]}[]} */
const STEPS = [
  { name: "Site and watch", sections: ["site", "watch", "climate"] },
  { name: "The animal", sections: ["subject", "passer"], adds: ["passer"] },
  { name: "The stage", sections: ["stage"] },
  { name: "Camera and lens", sections: ["camera", "lens", "limits"] },
  { name: "Flashes", sections: ["flash"], adds: ["flash"] },
  { name: "The sensor", sections: ["sensor"] },
  { name: "Power and housing", sections: ["camera", "sensor", "flash", "housing"], takes: POWER },
  { name: "Care", sections: ["subject", "camera", "flash", "bait"], takes: CARE, adds: ["bait"] },
];
const WHOLE = new Set(["housing", "bait"]); /* sections that belong to their step with every field */

const STARTS = /** @type {Record<string, {ask: string, heading: (name: string) => string, lines: string[]}>} */ ({
  flash: { ask: "A name for the flash, such as rim", heading: (name) => `flash ${name}`,
    lines: ["place = 1 m right, 1 m before, 1.5 m up"] },
  passer: { ask: "A name for the other animal, such as fox", heading: (name) => `passer ${name}`, lines: ["kind = red fox"] },
  bait: { ask: "", heading: () => "bait", lines: ["food = egg", "amount = 10 g"] },
});

/* Values a dial has, from its low end to its high end. */
const STOPS = [1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32];
/** @type {Record<string, string[]>} */
const LADDERS = {
  "camera.aperture": STOPS.map((stop) => `f/${stop}`),
  "camera.iso": ["50", "100", "200", "400", "800", "1600", "3200", "6400", "12800", "25600"],
  "camera.shutter": ["1/4000 s", "1/2000 s", "1/1000 s", "1/500 s", "1/250 s", "1/200 s", "1/160 s", "1/125 s", "1/100 s",
    "1/80 s", "1/60 s", "1/30 s", "1/15 s", "1/8 s", "1/4 s", "1/2 s", "1 s", "2 s"],
  "flash.power": ["1/256", "1/128", "1/64", "1/32", "1/16", "1/8", "1/4", "1/2", "1"],
  "lens.focal length": ["14 mm", "18 mm", "24 mm", "28 mm", "35 mm", "50 mm", "70 mm", "85 mm", "105 mm", "135 mm", "200 mm",
    "300 mm", "400 mm", "600 mm"],
  "sensor.zones": ["1", "2", "3", "4", "6", "8"],
  "flash.diffuser": ["0 stops", "0.5 stops", "1 stop", "1.5 stops", "2 stops", "2.5 stops", "3 stops"],
  "stage.path angle": ["-60 deg", "-45 deg", "-30 deg", "-20 deg", "-10 deg", "0 deg", "10 deg", "20 deg", "30 deg", "45 deg",
    "60 deg"],
};

/** The number in words such as `f/8`, `1/160 s`, `full`, `-6 C`. @param {string} words */
function amount(words) {
  if (/^full/.test(words)) return 1;
  const found = /(-?[\d.]+)(?:\/([\d.]+))?/.exec(words);
  if (!found) return NaN;
  return Number(found[1]) / (found[2] ? Number(found[2]) : 1);
}

/** @param {string[]} ladder @param {string} words @returns {number} the nearest place */
function placeOn(ladder, words) {
  const sought = amount(words);
  let best = 0;
  ladder.forEach((rung, i) => {
    if (Math.abs(amount(rung) - sought) < Math.abs(amount(ladder[best]) - sought)) best = i;
  });
  return best;
}

/** @param {string} section @param {number} nth @param {string} field */
const idOf = (section, nth, field) => `field-${section}-${nth}-${field.replace(/ /g, "_")}`;

/** One field with everything around it. */
class Row {
  /** @param {Bench} bench @param {Section} section @param {Field} field */
  constructor(bench, section, field) {
    this.bench = bench;
    this.section = section;
    this.field = field;
    const id = idOf(section.name, section.nth, field.name);
    this.what = `${section.name} ${section.nth} ${field.name}`;
    this.input = field.choices ? this.#select(id, field.choices) : this.#entry(id);
    this.origin = make("span", { class: "origin" });
    this.back = make("button", { type: "button", class: "quiet", "aria-label": `${field.name}: take the usual value`,
      onclick: () => this.#takeBack() }, "usual");
    this.fault = make("p", { class: "fault", id: `${id}-fault`, role: "alert" });
    this.dial = this.#dial();
    this.seen = "";
    this.element = make("div", { class: "field" },
      make("div", { class: "question" }, make("label", { for: id }, field.name), this.origin, this.back),
      this.input, this.dial, this.fault, make("p", { class: "help", id: `${id}-help` }, field.help));
    this.update(section, field);
  }

  /** @param {string} id @param {string[]} choices */
  #select(id, choices) {
    return make("select", { id, "aria-describedby": `${id}-help ${id}-fault`,
      onchange: () => this.#set(this.input.value) },
      make("option", { value: "", disabled: true }, "choose"), choices.map((words) => make("option", {}, words)));
  }

  /** @param {string} id */
  #entry(id) {
    const entry = make("input", { id, type: "text", autocomplete: "off", spellcheck: "false",
      "aria-describedby": `${id}-help ${id}-fault` });
    entry.addEventListener("input", () => this.#set(entry.value));
    entry.addEventListener("change", () => this.#leave());
    entry.addEventListener("keydown", (event) => {
      if (event.key === "Enter") this.#leave();
      if (event.key === "ArrowUp" || event.key === "ArrowDown") this.#step(event, event.key === "ArrowUp" ? 1 : -1);
    });
    return entry;
  }

  #dial() {
    this.ladder = LADDERS[`${this.section.name}.${this.field.name}`];
    if (!this.ladder) return null;
    const dial = make("input", { type: "range", min: 0, max: this.ladder.length - 1, step: 1,
      "aria-label": `${this.section.label}, ${this.field.name}` });
    dial.addEventListener("input", () => {
      this.#set(/** @type {string[]} */ (this.ladder)[Number(dial.value)]);
      this.#show(true);
    });
    return dial;
  }

  /** Up and down in an entry: along its dial, or by a twentieth. @param {KeyboardEvent} event @param {number} way */
  #step(event, way) {
    const words = this.input.value;
    const number = amount(words);
    if (this.field.unit === "point" || !Number.isFinite(number) || /[:]|^\d{4}-/.test(words)) return;
    event.preventDefault();
    if (this.ladder) {
      const at = Math.min(Math.max(placeOn(this.ladder, words) + way, 0), this.ladder.length - 1);
      this.#set(this.ladder[at]);
    } else {
      const whole = this.field.unit === "count" || /^\d+$/.test(words);
      const by = whole ? 1 : 10 ** Math.floor(Math.log10(Math.abs(number) || 1)) / 10;
      this.#set(words.replace(/-?[\d.]+/, String(Number((number + way * by).toFixed(6)))));
    }
    this.#show(true);
  }

  /** @param {string} words */
  #set(words) {
    if (typed(words) === this.field.words) {
      this.#complain(null);
      return;
    }
    const change = { section: this.section.name, nth: this.section.nth, field: this.field.name, words: typed(words) };
    this.#complain(words.trim() === "" ? null : this.bench.change([change], this.what));
  }

  #leave() {
    this.bench.store.endStep();
    if (!this.fault.textContent) this.#show(true);
  }

  #takeBack() {
    this.bench.removeLine(this.field.line, "");
    this.input.focus();
  }

  /** @param {string | null} words */
  #complain(words) {
    this.fault.textContent = words ?? "";
    this.input.toggleAttribute("aria-invalid", Boolean(words));
    if (words) this.input.setAttribute("aria-invalid", "true");
  }

  /** @param {boolean} [evenWhileTyping] */
  #show(evenWhileTyping = false) {
    if (document.activeElement === this.input && !evenWhileTyping) return;
    const none = this.field.words === "not given" || this.field.words === "";
    const words = none ? "" : this.field.choices ? this.field.words : shown(this.field.words);
    if (this.input.value !== words) this.input.value = words;
    if (this.input instanceof HTMLInputElement) this.input.placeholder = none ? this.field.example : "";
  }

  /** @param {Section} section @param {Field} field */
  update(section, field) {
    const moved = this.field.words !== field.words;
    if (!moved && this.seen === lengthsNow() && field.given === this.field.given && field.line === this.field.line) {
      this.section = section;
      this.field = field;
      return;
    }
    this.seen = lengthsNow();
    this.section = section;
    this.field = field;
    if (moved && document.activeElement !== this.input) this.#complain(null);
    this.#show();
    this.origin.textContent = field.given ? "" : field.origin;
    this.back.hidden = !field.given || field.required || field.line <= 0;
    this.element.classList.toggle("given", field.given);
    if (this.dial && this.ladder && document.activeElement !== this.dial)
      this.dial.value = String(placeOn(this.ladder, field.words));
    if (this.dial) this.dial.setAttribute("aria-valuetext", field.words);
  }
}

export class FormView {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.root = root;
    this.bench = bench;
    this.shape = "";
    /** @type {Map<string, Row>} */
    this.rows = new Map();
    /** @type {Set<string>} */
    this.open = new Set(["Site and watch"]);
  }

  update() {
    const { form } = this.bench;
    if (!form) return;
    const shape = form.sections.map((one) => `${one.name}/${one.nth}/${one.label}/${one.fields.length}`).join() +
      form["can add"].map((one) => one.section).join();
    if (shape !== this.shape) this.#build(shape);
    for (const section of form.sections)
      for (const field of section.fields) this.rows.get(idOf(section.name, section.nth, field.name))?.update(section, field);
  }

  /** Anew, when the sections have changed. @param {string} shape */
  #build(shape) {
    const focused = document.activeElement?.id;
    this.shape = shape;
    this.rows.clear();
    this.root.replaceChildren(...STEPS.map((step) => this.#step(step)));
    if (focused?.startsWith("field-")) document.getElementById(focused)?.focus();
  }

  /** @param {typeof STEPS[0]} step */
  #step(step) {
    const sections = (this.bench.form?.sections ?? []).filter((one) => step.sections.includes(one.name));
    const parts = sections.map((section) => this.#section(step, section)).filter((part) => part !== null);
    const adds = (step.adds ?? []).map((name) => this.#adder(name)).filter((part) => part !== null);
    const details = make("details", { class: "step", open: this.open.has(step.name) },
      make("summary", {}, make("h3", {}, step.name)), parts, adds);
    details.addEventListener("toggle", () => {
      if (details.open) this.open.add(step.name);
      else this.open.delete(step.name);
    });
    return details;
  }

  /** @param {typeof STEPS[0]} step @param {Section} section */
  #section(step, section) {
    const mine = section.fields.filter((field) => {
      if (step.takes) return step.takes.has(field.name) || WHOLE.has(section.name);
      return !POWER.has(field.name) && !CARE.has(field.name);
    });
    if (mine.length === 0 || (section.name === "bait" && !section.given)) return null;
    const rows = mine.map((field) => {
      const row = new Row(this.bench, section, field);
      this.rows.set(idOf(section.name, section.nth, field.name), row);
      return { row, first: field.given || field.required || LADDERS[`${section.name}.${field.name}`] !== undefined };
    });
    const first = rows.filter((one) => one.first).map((one) => one.row.element);
    const rest = rows.filter((one) => !one.first).map((one) => one.row.element);
    const few = first.length === 0;
    return make("fieldset", { class: "section" },
      make("legend", {}, section.label, " ", make("small", {}, section.help)),
      make("div", { class: "fields" }, few ? rest : first),
      !few && rest.length > 0 && make("details", { class: "more" },
        make("summary", {}, `${rest.length} more, at their usual values`), make("div", { class: "fields" }, rest)),
      this.#remover(step, section));
  }

  /** @param {typeof STEPS[0]} step @param {Section} section */
  #remover(step, section) {
    if (!step.adds?.includes(section.name)) return null;
    return make("button", { type: "button", class: "quiet", onclick: () => this.bench.removeSection(section) },
      `Take ${section.label} out`);
  }

  /** @param {string} name */
  #adder(name) {
    const offer = this.bench.form?.["can add"].find((one) => one.section === name);
    if (!offer) return null;
    const start = STARTS[name];
    const entry = start.ask
      ? make("input", { type: "text", "aria-label": start.ask, placeholder: start.ask, maxlength: 20 }) : null;
    const add = () => {
      const chosen = entry?.value.trim().toLowerCase().replace(/[^a-z0-9 -]/g, "") || this.#freeName(name);
      this.bench.addSection(start.heading(chosen), start.lines);
    };
    return make("div", { class: "adder" }, entry, make("button", { type: "button", onclick: add },
      { flash: "Add a flash", passer: "Add another animal", bait: "Add bait" }[name] ?? `Add ${name}`));
  }

  /** @param {string} section */
  #freeName(section) {
    const taken = new Set(this.bench.form?.sections.filter((one) => one.name === section).map((one) => one.own));
    let number = 1;
    while (taken.has(String(number))) number += 1;
    return String(number);
  }
}
