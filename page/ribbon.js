/* The night ribbon with a cursor: which minute of which night, how light it then is at the mark, and whether the rig is armed. */

import { DRAWING, ROWS_A_NIGHT } from "./core.js";
import { drawing, make, rounded } from "./dom.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {{left: number, right: number, top: number[], from_min: number, perUnit: number, band: number, width: number,
 *   height: number}} Lay where nights and minutes are on the drawing; minutes count from the evening's midnight before */

const DAY_MIN = 1440;
const ROW_MIN = DAY_MIN / ROWS_A_NIGHT;
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September",
  "October", "November", "December"];

/** @param {number} minutes */
const clock = (minutes) => {
  const whole = ((Math.floor(minutes) % DAY_MIN) + DAY_MIN) % DAY_MIN;
  return `${String(Math.floor(whole / 60)).padStart(2, "0")}:${String(whole % 60).padStart(2, "0")}`;
};

/** @param {string} words a time of day @returns {number} minutes, NaN when there is none */
const minutesOf = (words) => {
  const found = /^(\d+):(\d+)/.exec(words);
  return found ? Number(found[1]) * 60 + Number(found[2]) : NaN;
};

export class RibbonView {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.bench = bench;
    this.svgWords = "";
    /** @type {Lay | null} */
    this.lay = null;
    this.night = 0;
    this.minute = 22 * 60;
    this.paper = make("div", { class: "paper" });
    this.hair = make("div", { class: "hair" });
    this.box = make("div", { class: "ribbon-box", tabindex: 0, role: "slider", "aria-label": "Minute of the watch",
      "aria-valuemin": 0, "aria-valuemax": 1, "aria-valuenow": 0, "aria-describedby": "ribbon-help" }, this.paper, this.hair);
    this.said = make("p", { class: "said" });
    root.append(this.said, this.box, make("p", { class: "help", id: "ribbon-help" },
      "Point at a minute, or use the arrow keys: left and right 10 minutes, with Shift one; up and down a night."));
    this.box.addEventListener("pointerdown", (event) => this.#point(event));
    this.box.addEventListener("pointermove", (event) => {
      if (event.pointerType === "mouse" || event.buttons) this.#point(event);
    });
    this.box.addEventListener("keydown", (event) => this.#press(event));
  }

  update() {
    if (!this.bench.fresh) return;
    const words = this.bench.core.draw(DRAWING.ribbon) ?? "";
    if (words !== this.svgWords) {
      const svg = drawing(words);
      if (!svg) return;
      this.svgWords = words;
      this.lay = this.#layOf(svg);
      svg.setAttribute("aria-hidden", "true"); /* the slider around it says it in words */
      this.paper.replaceChildren(svg);
    }
    this.#tell();
  }

  /* Rows are the dashes of the lightest shade, hours the words above them. */
  /** @param {SVGSVGElement} svg @returns {Lay | null} */
  #layOf(svg) {
    const ground = svg.querySelector("g.noon");
    const ways = ground?.querySelector("path")?.getAttribute("d") ?? "";
    const dashes = [...ways.matchAll(/M(-?[\d.]+)[ ,]?(-?[\d.]+)H(-?[\d.]+)/g)];
    const rows = [...new Set(dashes.map((dash) => Number(dash[2])))].sort((a, b) => a - b);
    const said = [...svg.querySelectorAll("text")].filter((text) => /^\d\d:\d\d$/.test(text.textContent ?? ""));
    const hours = said.filter((text) => text.getAttribute("y") === said[0].getAttribute("y")) /* they stand below too */
      .map((text) => ({ x: Number(text.getAttribute("x")), minute: minutesOf(text.textContent ?? "") }))
      .sort((a, b) => a.x - b.x);
    for (let i = 1; i < hours.length; i += 1) while (hours[i].minute <= hours[i - 1].minute) hours[i].minute += DAY_MIN;
    if (hours.length < 2 || rows.length === 0) return null;
    const [first, last] = [hours[0], hours[hours.length - 1]];
    const perUnit = (last.minute - first.minute) / (last.x - first.x);
    const left = Math.min(...dashes.map((dash) => Number(dash[1])));
    const { width, height } = svg.viewBox.baseVal;
    return { left, right: Math.max(...dashes.map((dash) => Number(dash[3]))), top: rows, perUnit,
      from_min: first.minute + (left - first.x) * perUnit, band: Number(ground?.getAttribute("stroke-width")), width, height };
  }

  /** @param {PointerEvent} event */
  #point(event) {
    const { lay } = this;
    if (!lay) return;
    const sheet = this.paper.getBoundingClientRect();
    const x = (event.clientX - sheet.left) * lay.width / sheet.width;
    const y = (event.clientY - sheet.top) * lay.height / sheet.height;
    const within = Math.min(Math.max(x, lay.left), lay.right);
    this.minute = Math.round(lay.from_min + (within - lay.left) * lay.perUnit);
    this.night = lay.top.reduce((best, row, i) => (Math.abs(row - y) < Math.abs(lay.top[best] - y) ? i : best), 0);
    this.#tell();
  }

  /** @param {KeyboardEvent} event */
  #press(event) {
    const lay = this.lay;
    const by = event.shiftKey ? 1 : 10;
    const moves = /** @type {Record<string, () => void>} */ ({
      ArrowLeft: () => { this.minute -= by; }, ArrowRight: () => { this.minute += by; },
      ArrowUp: () => { this.night -= 1; }, ArrowDown: () => { this.night += 1; },
      PageUp: () => { this.night -= 7; }, PageDown: () => { this.night += 7; },
      Home: () => { this.night = 0; }, End: () => { this.night = Infinity; },
    });
    if (!lay || !moves[event.key] || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    moves[event.key]();
    this.#tell();
  }

  #tell() {
    const { lay } = this;
    if (!lay) return;
    const last_min = lay.from_min + (lay.right - lay.left) * lay.perUnit;
    this.night = Math.min(Math.max(this.night, 0), lay.top.length - 1);
    this.minute = Math.min(Math.max(this.minute, lay.from_min), last_min);
    const x = lay.left + (this.minute - lay.from_min) / lay.perUnit;
    this.hair.style.left = `${100 * x / lay.width}%`;
    this.hair.style.top = `${100 * (lay.top[this.night] - lay.band / 2) / lay.height}%`;
    this.hair.style.height = `${100 * lay.band / lay.height}%`;
    const words = this.#words();
    this.said.textContent = words;
    this.box.setAttribute("aria-valuetext", words);
    this.box.setAttribute("aria-valuemax", String(lay.top.length * DAY_MIN - 1));
    this.box.setAttribute("aria-valuenow", String(Math.round(this.night * DAY_MIN + this.minute - lay.from_min)));
  }

  #words() {
    const evening = this.bench.theNights()[this.night]?.evening;
    const light_lx = this.#light();
    const lit = `, ${light_lx < 0.001 ? `${rounded(light_lx * 1000)} mlx` : `${rounded(light_lx)} lx`} at the mark`;
    return `${this.#date(evening)}, ${clock(this.minute)}${lit}, ${this.#armed(light_lx) ? "armed" : "not armed"}`;
  }

  /** The date at the cursor: after midnight it is the next day's. @param {string | undefined} evening */
  #date(evening) {
    if (!evening) return `night ${this.night + 1}`;
    const date = new Date(`${evening.slice(0, 10)}T00:00:00Z`);
    if (this.minute >= DAY_MIN) date.setUTCDate(date.getUTCDate() + 1);
    return `${date.getUTCDate()} ${MONTHS[date.getUTCMonth()]} ${date.getUTCFullYear()}`;
  }

  /** Between two rows, in equal ratios. */
  #light() {
    const first = this.bench.core.skyRow(this.night, 0);
    const place = Math.min(Math.max((this.minute - first.clock_s / 60) / ROW_MIN, 0), ROWS_A_NIGHT);
    const row = Math.min(Math.floor(place), ROWS_A_NIGHT - 1);
    const [one, other] = [this.bench.core.skyRow(this.night, row), this.bench.core.skyRow(this.night, row + 1)];
    return one.light_lx ** (1 - (place - row)) * other.light_lx ** (place - row);
  }

  /** @param {number} light_lx */
  #armed(light_lx) {
    const words = (/** @type {string} */ section, /** @type {string} */ name) => this.bench.field(section, name)?.words ?? "";
    const gate = words("sensor", "light gate");
    const level_lx = Number(this.bench.field("sensor", "gate level")?.value);
    if ((gate === "night" && light_lx >= level_lx) || (gate === "day" && light_lx < level_lx)) return false;
    const [from, to] = [minutesOf(words("watch", "from")), minutesOf(words("watch", "to"))];
    const now = this.minute % DAY_MIN;
    if (Number.isNaN(from) && Number.isNaN(to)) return true;
    const [start, end] = [Number.isNaN(from) ? 0 : from, Number.isNaN(to) ? DAY_MIN : to];
    return start <= end ? now >= start && now < end : now >= start || now < end;
  }
}
