/* The light desk: the picture as the flashes stand, coarse at once and finer while nothing changes; rendered in a worker. */

import { make, rounded } from "./dom.js";

/** @typedef {import("./bench.js").Bench} Bench */

const LONG_SIDE = 420; /* pixels; the module has room for 480 */
const LIGHTS_MOST = 1000; /* places of the light's slider */
const DARKEST_LX = 1e-5;
const BRIGHTEST_LX = 1e4;
const ALONG_MOST_CM = 150;
/* What develops the film anew and leaves the rendering as it is. */
const DEVELOPED = new Set(["iso", "aperture", "shutter", "exposure", "fastest shutter", "x-sync", "shutter lag", "wake", "sleeps",
  "frames", "interval", "power", "light gate", "gate level", "pause", "hold", "hold by day", "cells", "cell kind"]);
const SCENERY = new Set(["subject", "stage", "camera", "lens", "flash"]);

export class DeskView {
  /** @param {HTMLElement} root @param {Bench} bench @param {import("./helper.js").Helper} helper */
  constructor(root, bench, helper) {
    this.bench = bench;
    this.helper = helper;
    this.turn = 0;
    this.touched = false; /* the light is the user's choice, not the plan's */
    this.moved = false;
    this.canvas = make("canvas", { class: "desk-picture", role: "img",
      "aria-label": "The picture as planned, worked out from the plan" });
    this.light = make("input", { id: "desk-light", type: "range", min: 0, max: LIGHTS_MOST, value: 200 });
    this.lightWords = make("output", { for: "desk-light" });
    this.along = make("input", { id: "desk-along", type: "range", min: -ALONG_MOST_CM, max: ALONG_MOST_CM, step: 1, value: 0 });
    this.alongWords = make("output", { for: "desk-along" });
    this.note = make("p", { class: "help" });
    this.#controls(root);
    helper.on("desk", (told) => this.#show(told));
  }

  /** @param {HTMLElement} root */
  #controls(root) {
    this.light.addEventListener("input", () => {
      this.touched = true;
      this.#ask();
    });
    this.along.addEventListener("input", () => {
      this.moved = true;
      this.#ask();
    });
    root.append(make("div", { class: "desk-frame" }, this.canvas),
      make("div", { class: "dials" },
        make("label", { for: "desk-light" }, "ambient light"), this.light, this.lightWords,
        make("label", { for: "desk-along" }, "animal past the mark"), this.along, this.alongWords),
      make("div", { class: "row" },
        make("button", { type: "button", onclick: () => this.#at("light.darkest") }, "darkest armed minute"),
        make("button", { type: "button", onclick: () => this.#at("light.lightest") }, "lightest armed minute"),
        make("button", { type: "button", onclick: () => this.#open() }, "where the shutter finds it"),
        make("button", { type: "button", onclick: () => this.#onMark() }, "on the mark")),
      this.note);
  }

  update() {
    if (!this.bench.fresh) return;
    if (!this.touched) this.#setLight(this.bench.result("light.darkest")?.value ?? 0.01);
    if (!this.moved) this.#setAlong(this.#offset());
    this.#ask();
  }

  /** Where the shutter finds the animal, towards growing x. */
  #offset() {
    const offset = this.bench.result("shutter.offset")?.value ?? 0;
    return (this.bench.field("stage", "travel")?.words === "right to left" ? -1 : 1) * offset;
  }

  /** @param {string} key */
  #at(key) {
    this.touched = key !== "light.darkest";
    this.#setLight(this.bench.result(key)?.value ?? 0.01);
    this.#ask();
  }

  #open() {
    this.moved = false;
    this.#setAlong(this.#offset());
    this.#ask();
  }

  #onMark() {
    this.moved = true;
    this.#setAlong(0);
    this.#ask();
  }

  /** @param {number} light_lx */
  #setLight(light_lx) {
    const share = Math.log(Math.max(light_lx, DARKEST_LX) / DARKEST_LX) / Math.log(BRIGHTEST_LX / DARKEST_LX);
    this.light.value = String(Math.round(LIGHTS_MOST * share));
  }

  #lightLx() {
    return DARKEST_LX * (BRIGHTEST_LX / DARKEST_LX) ** (Number(this.light.value) / LIGHTS_MOST);
  }

  /** @param {number} along_m */
  #setAlong(along_m) {
    this.along.value = String(Math.round(along_m * 100));
  }

  #size() {
    const side = (/** @type {string} */ name) => Number(this.bench.field("camera", name)?.value) || 1;
    const [long, short] = [side("sensor width"), side("sensor height")];
    const ratio = Math.min(short / long, 1);
    const size = [LONG_SIDE, Math.max(1, Math.round(LONG_SIDE * ratio))];
    return this.bench.field("camera", "orientation")?.words === "portrait" ? size.reverse() : size;
  }

  /** A text that changes with everything the rendering depends on. @param {any[]} more */
  #scene(more) {
    const fields = (this.bench.form?.sections ?? []).filter((one) => SCENERY.has(one.name))
      .map((one) => one.fields.filter((field) => !DEVELOPED.has(field.name)).map((field) => field.words));
    return JSON.stringify([fields, more]);
  }

  #ask() {
    const light_lx = this.#lightLx();
    const along_m = Number(this.along.value) / 100;
    this.lightWords.textContent = light_lx < 0.001 ? `${rounded(light_lx * 1000)} mlx` : `${rounded(light_lx)} lx`;
    this.light.setAttribute("aria-valuetext", this.lightWords.textContent);
    this.alongWords.textContent = `${this.along.value} cm`;
    this.along.setAttribute("aria-valuetext", this.alongWords.textContent);
    if (!this.bench.fresh || !this.bench.sky) return;
    const [width, height] = this.#size();
    const sense = this.bench.field("stage", "travel")?.words === "right to left" ? -1 : 1;
    this.turn += 1;
    this.helper.ask({ job: "desk", turn: this.turn, width, height, along_m, sense, ambient_lx: light_lx,
      scene: this.#scene([width, height, along_m, sense]) });
  }

  /** @param {{turn: number, width: number, height: number, pixels: Uint8ClampedArray<ArrayBuffer> | null, step: number,
   *   took_ms: number}} told */
  #show(told) {
    if (told.turn !== this.turn) return;
    if (!told.pixels) {
      this.note.textContent = "The camera has no view of the mark from where it stands.";
      return;
    }
    if (this.canvas.width !== told.width || this.canvas.height !== told.height) {
      this.canvas.width = told.width;
      this.canvas.height = told.height;
    }
    this.canvas.getContext("2d")?.putImageData(new ImageData(told.pixels, told.width, told.height), 0, 0);
    this.canvas.dataset.step = String(told.step);
    this.canvas.dataset.took = told.took_ms.toFixed(1);
    this.note.textContent = told.step > 0.5 ? "rendering finer ..."
      : "A model's picture: it shows light, shadow, sharpness and framing, not fur.";
  }
}
