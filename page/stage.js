/* The stage: the core's drawing from above, with handles over it that move what stands there. A handle is a button:
   it is dragged, or moved with the arrow keys; every move is written into the plan and worked out at once. */

import { DRAWING } from "./core.js";
import { drawing, make } from "./dom.js";
import { lengthsNow, shown, writePoint } from "./units.js";

/** @typedef {import("./bench.js").Bench} Bench */
/** @typedef {import("./units.js").Point} Point */
/** @typedef {{key: string, section: string, nth: number, field: string, name: string, kind: "place" | "aim" | "path"}} Thing */
/** @typedef {{x: number, y: number, scale: number, width: number, height: number}} Scale where the mark is in drawing units,
 *   units for a metre, and the size of the drawing */

const SNAP_M = 0.05;
const FAR_STEP = 5; /* times as far with Shift */
const SNAP_DEG = 1;
const FAR_DEG = 10;
const PATH_ARM = 0.4; /* of the drawing's width: where the path is held */

/** @param {number} value */
const snapped = (value) => Math.round(value / SNAP_M) * SNAP_M;

/** @param {Element | null | undefined} element @returns {{x: number, y: number} | null} */
function translation(element) {
  const found = /translate\(\s*(-?[\d.]+)[ ,]+(-?[\d.]+)/.exec(element?.getAttribute("transform") ?? "");
  return found ? { x: Number(found[1]), y: Number(found[2]) } : null;
}

export class StageView {
  /** @param {HTMLElement} root @param {Bench} bench */
  constructor(root, bench) {
    this.bench = bench;
    /** @type {Map<string, {button: HTMLButtonElement, thing: Thing}>} */
    this.handles = new Map();
    this.chosen = "";
    /** @type {Scale | null} */
    this.scale = null;
    /** @type {Scale | null} kept while something is dragged, so that the ground stays still under the finger */
    this.frozen = null;
    this.paper = make("div", { class: "paper" });
    this.over = make("div", { class: "handles" });
    this.said = make("p", { class: "said", role: "status" });
    this.nudges = make("div", { class: "nudges", role: "group", "aria-label": "Move what is chosen" });
    root.append(make("div", { class: "stage-box" }, this.paper, this.over), this.said, this.nudges,
      make("p", { class: "help", id: "stage-help" },
        "Drag what stands on the stage, or choose it and use the arrow keys: 5 cm a step, with Shift 25 cm; ",
        "Page Up and Page Down change its height."));
    this.#nudgeButtons();
  }

  update() {
    const svg = this.bench.fresh ? drawing(this.bench.core.draw(DRAWING.stage)) : null;
    if (!svg) return;
    this.scale = this.#scaleOf(svg);
    if (this.frozen && this.scale) this.#holdStill(svg, this.scale, this.frozen);
    if (lengthsNow() !== "metric")
      for (const text of svg.querySelectorAll("text")) text.textContent = shown(text.textContent ?? "");
    this.paper.replaceChildren(svg);
    this.#placeHandles();
    this.#say();
  }

  /** What can be moved, and where it stands in the plan. @returns {Thing[]} */
  #things() {
    /** @type {Thing[]} */
    const things = [];
    for (const section of this.bench.form?.sections ?? []) {
      if (!["camera", "sensor", "flash"].includes(section.name)) continue;
      const name = section.label;
      const at = { section: section.name, nth: section.nth };
      const key = `${section.name}-${section.nth}`;
      things.push({ ...at, key: `${key}-place`, field: "place", name, kind: "place" });
      things.push({ ...at, key: `${key}-aim`, field: "aim", name: `${name}, what it points at`, kind: "aim" });
    }
    things.push({ key: "path", section: "stage", nth: 0, field: "path angle", name: "the path", kind: "path" });
    return things;
  }

  /** @param {Thing} thing @returns {Point} */
  #pointOf(thing) {
    const value = this.bench.field(thing.section, thing.field, thing.nth)?.value;
    return Array.isArray(value) ? { x: value[0], y: value[1], z: value[2] } : { x: 0, y: 0, z: 0 };
  }

  #pathDeg() {
    return Math.round((Number(this.bench.field("stage", "path angle")?.value) || 0) * 1800 / Math.PI) / 10;
  }

  /* The drawing tells no scale; the devices on it do: the last is drawn first, the camera last. */
  /** @param {SVGSVGElement} svg @returns {Scale | null} */
  #scaleOf(svg) {
    const mark = translation(svg.querySelector('path.line[d^="M-9 0"]')?.parentElement);
    const glyphs = [...svg.querySelectorAll("path.device")].map((path) => translation(path.parentElement));
    const places = this.#things().filter((thing) => thing.kind === "place").map((thing) => this.#pointOf(thing));
    if (!mark) return null;
    let above = 0;
    let below = 0;
    places.forEach((place, i) => {
      const glyph = glyphs[places.length - 1 - i];
      if (!glyph) return;
      above += (glyph.x - mark.x) * place.x - (glyph.y - mark.y) * place.y;
      below += place.x ** 2 + place.y ** 2;
    });
    const { width, height } = svg.viewBox.baseVal;
    return below > 0 ? { ...mark, scale: above / below, width, height } : null;
  }

  /** @param {SVGSVGElement} svg @param {Scale} now @param {Scale} kept */
  #holdStill(svg, now, kept) {
    const ratio = now.scale / kept.scale;
    const box = [now.x - kept.x * ratio, now.y - kept.y * ratio, kept.width * ratio, kept.height * ratio];
    svg.setAttribute("viewBox", box.join(" "));
    svg.setAttribute("width", String(kept.width));
    svg.setAttribute("height", String(kept.height));
  }

  #placeHandles() {
    const scale = this.frozen ?? this.scale;
    if (!scale) return;
    const things = this.#things();
    const wanted = new Set(things.map((thing) => thing.key));
    for (const [key, { button }] of this.handles)
      if (!wanted.has(key)) {
        button.remove();
        this.handles.delete(key);
      }
    for (const thing of things) {
      const { button } = this.handles.get(thing.key) ?? this.#handle(thing);
      const at = thing.kind === "path" ? this.#pathPoint(scale) : this.#pointOf(thing);
      button.style.left = `${100 * (scale.x + at.x * scale.scale) / scale.width}%`;
      button.style.top = `${100 * (scale.y - at.y * scale.scale) / scale.height}%`;
      button.setAttribute("aria-label", `${thing.name}: ${this.#where(thing)}`);
      button.hidden = thing.kind === "aim" && !this.chosen.startsWith(thing.key.replace(/aim$/, ""));
      button.classList.toggle("chosen", thing.key === this.chosen);
    }
  }

  /** @param {Scale} scale @returns {Point} */
  #pathPoint(scale) {
    const angle = this.#pathDeg() * Math.PI / 180;
    const room = [(scale.width - scale.x) / Math.max(Math.cos(angle), 0.01),
      (angle > 0 ? scale.y : scale.height - scale.y) / Math.max(Math.abs(Math.sin(angle)), 0.01)];
    const arm = Math.min(PATH_ARM * scale.width, ...room.map((one) => one - 16)) / scale.scale;
    return { x: arm * Math.cos(angle), y: arm * Math.sin(angle), z: 0 };
  }

  /** @param {Thing} thing */
  #where(thing) {
    return shown(this.bench.field(thing.section, thing.field, thing.nth)?.words ?? "");
  }

  /** @param {Thing} thing */
  #handle(thing) {
    const button = make("button", { type: "button", class: `handle ${thing.kind}`, "aria-describedby": "stage-help" });
    button.addEventListener("focus", () => this.#choose(thing.key));
    button.addEventListener("pointerdown", (event) => this.#grab(event, button, thing));
    button.addEventListener("keydown", (event) => this.#press(event, thing));
    this.over.append(button);
    const entry = { button, thing };
    this.handles.set(thing.key, entry);
    return entry;
  }

  /** @param {string} key */
  #choose(key) {
    if (this.chosen === key) return;
    this.chosen = key;
    this.#placeHandles();
    this.#say();
  }

  #say() {
    const thing = this.handles.get(this.chosen)?.thing;
    this.said.textContent = thing ? `${thing.name}: ${this.#where(thing)}` : "";
    this.nudges.hidden = !thing;
  }

  /** @param {PointerEvent} event @param {HTMLButtonElement} button @param {Thing} thing */
  #grab(event, button, thing) {
    if (event.button !== 0 || !this.scale || !this.bench.sound) return;
    const svg = this.paper.firstElementChild;
    if (!svg) return;
    const sheet = svg.getBoundingClientRect();
    const scale = this.scale;
    const units = scale.width / sheet.width;
    const held = thing.kind === "path" ? this.#pathPoint(scale) : this.#pointOf(thing);
    const off = { x: (event.clientX - sheet.left) * units - (scale.x + held.x * scale.scale),
      y: (event.clientY - sheet.top) * units - (scale.y - held.y * scale.scale) };
    this.frozen = scale;
    button.setPointerCapture(event.pointerId);
    button.focus();
    event.preventDefault();
    /** @param {PointerEvent} move */
    const drag = (move) => this.#moveTo(thing, ((move.clientX - sheet.left) * units - off.x - scale.x) / scale.scale,
      (scale.y - (move.clientY - sheet.top) * units + off.y) / scale.scale);
    const release = () => {
      button.removeEventListener("pointermove", drag);
      button.removeEventListener("pointerup", release);
      button.removeEventListener("pointercancel", release);
      this.frozen = null;
      this.bench.store.endStep();
      this.update();
    };
    button.addEventListener("pointermove", drag);
    button.addEventListener("pointerup", release);
    button.addEventListener("pointercancel", release);
  }

  /** @param {Thing} thing @param {number} x metres @param {number} y metres */
  #moveTo(thing, x, y) {
    if (thing.kind === "path") {
      const degrees = Math.atan2(y, x) * 180 / Math.PI;
      this.#turnPath(Math.round((degrees > 90 ? degrees - 180 : degrees < -90 ? degrees + 180 : degrees) / SNAP_DEG) * SNAP_DEG);
      return;
    }
    this.#write(thing, { x: snapped(x), y: snapped(y), z: this.#pointOf(thing).z });
  }

  /** @param {Thing} thing @param {Point} point */
  #write(thing, point) {
    const words = writePoint(point);
    if (words === this.bench.field(thing.section, thing.field, thing.nth)?.words) return;
    const no = this.bench.change([{ section: thing.section, nth: thing.nth, field: thing.field, words }], `stage ${thing.key}`);
    if (no) this.said.textContent = no;
  }

  /** @param {number} degrees */
  #turnPath(degrees) {
    const words = `${Math.min(Math.max(degrees, -90), 90)} deg`;
    if (words === this.bench.field("stage", "path angle")?.words) return;
    const no = this.bench.change([{ section: "stage", nth: 0, field: "path angle", words }], "stage path");
    if (no) this.said.textContent = no;
  }

  /** @param {KeyboardEvent} event @param {Thing} thing */
  #press(event, thing) {
    const ways = /** @type {Record<string, [number, number, number]>} */ ({
      ArrowLeft: [-1, 0, 0], ArrowRight: [1, 0, 0], ArrowUp: [0, 1, 0], ArrowDown: [0, -1, 0],
      PageUp: [0, 0, 1], PageDown: [0, 0, -1],
    });
    const way = ways[event.key];
    if (!way || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    this.#nudge(thing, way, event.shiftKey);
  }

  /** @param {Thing} thing @param {[number, number, number]} way @param {boolean} far */
  #nudge(thing, way, far) {
    if (thing.kind === "path") {
      this.#turnPath(this.#pathDeg() + (way[1] || -way[0]) * (far ? FAR_DEG : SNAP_DEG));
      return;
    }
    const by = SNAP_M * (far ? FAR_STEP : 1);
    const from = this.#pointOf(thing);
    this.#write(thing, { x: from.x + way[0] * by, y: from.y + way[1] * by, z: from.z + way[2] * by });
  }

  #nudgeButtons() {
    /** @type {[string, [number, number, number]][]} */
    const buttons = [["left", [-1, 0, 0]], ["right", [1, 0, 0]], ["away", [0, 1, 0]], ["nearer", [0, -1, 0]],
      ["higher", [0, 0, 1]], ["lower", [0, 0, -1]]];
    this.nudges.append(...buttons.map(([words, way]) => make("button", { type: "button", onclick: () => {
      const thing = this.handles.get(this.chosen)?.thing;
      if (thing) this.#nudge(thing, way, false);
    } }, words)));
    this.nudges.hidden = true;
  }
}
