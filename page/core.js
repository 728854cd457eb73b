/* The C core as a WebAssembly module, behind plain functions. One Core holds one plan; the page has one, each worker its own. */

/**
 * @typedef {{line: number, column: number, width: number, words: string}} Complaint line 0: the plan as a whole
 * @typedef {{field: number, name: string, unit: string, si: string, words: string, value: number | number[] | null,
 *   given: boolean, line: number, standard: string, required: boolean, derived: boolean, least: number | null,
 *   most: number | null, choices: string[] | null, origin: string, help: string, example: string}} Field
 * @typedef {{section: number, name: string, nth: number, own: string, label: string, help: string, given: boolean, line: number,
 *   fields: Field[]}} Section
 * @typedef {{sections: Section[], "can add": {section: string, named: boolean, help: string}[]}} Form
 * @typedef {{key: string, label: string, value: number | null, words: string, unit: string, group: string}} Result
 * @typedef {{section: string, nth: number, field: string, words: string}} Change
 * @typedef {{caution: boolean, loses: number, what: string, change: string, "change words"?: string, do?: Change[]}} Warning
 * @typedef {Record<string, any> & {evening: string}} Night
 * @typedef {{mean: number, low: number, middle?: number, high: number}} Spread
 * @typedef {{row: string, means: string, first: Spread, only?: Spread}} LedgerRow
 * @typedef {{seasons: number, nights: number, keepers: Spread, "keepers error": number, passes: Spread, ledger: LedgerRow[],
 *   "odds by night": number[], "nights for percent": Record<string, number | null>, frames: Spread,
 *   "runs out": {store: string, lasts: number, low: number | null}[]}} Ledger
 * @typedef {{section: string, nth?: number, field: string, from: string, to: string}} Step
 * @typedef {{changes: Step[], gain: Spread, do?: Change[]}} Proposal
 * @typedef {{candidates: number, keepers: number, passes: number, alone: Proposal[], together: Proposal | null}} Advice
 */

export const REPORT = /** @type {const} */ ({
  complaints: 0, form: 1, results: 2, nights: 3, warnings: 4, ledger: 5, advice: 6, choices: 7,
});
export const DRAWING = /** @type {const} */ ({ stage: 0, side: 1, ribbon: 2, keepers: 3, lasting: 4, ledger: 5 });

const NO_SKY = -2; /* what the module answers without a fitting sky */
const WORDS_BYTES = 4096;
const ROW_BYTES = 24; /* light, clock and the animals' hour, each a double */
export const ROWS_A_NIGHT = 144;

const encoder = new TextEncoder();
const decoder = new TextDecoder();

/** The module, fetched and made ready once; it may be handed to workers. @returns {Promise<WebAssembly.Module>} */
export function fetchModule() {
  return WebAssembly.compileStreaming(fetch("core.wasm", { credentials: "same-origin" }));
}

export class Core {
  /** @param {Record<string, any>} exports */
  constructor(exports) {
    this.to = exports;
  }

  /** @param {WebAssembly.Module} module @returns {Promise<Core>} */
  static async of(module) {
    const { exports } = await WebAssembly.instantiate(module, {});
    /** @type {any} */ (exports)._initialize?.();
    return new Core(/** @type {any} */ (exports));
  }

  /** @param {number} address @param {Uint8Array} bytes @param {number} most */
  #put(address, bytes, most) {
    if (bytes.length > most) throw new RangeError("too long for the core");
    new Uint8Array(this.to.memory.buffer, address, bytes.length).set(bytes);
    return bytes.length;
  }

  /** @param {string} words */
  #putWords(words) {
    return this.#put(this.to.words(), encoder.encode(words), WORDS_BYTES - 1);
  }

  /** @param {number} address @param {number} [length] @returns {string | null} */
  #words(address, length) {
    if (!address) return null;
    const memory = new Uint8Array(this.to.memory.buffer);
    return decoder.decode(memory.subarray(address, length === undefined ? memory.indexOf(0, address) : address + length));
  }

  /** Reads a plan; how many complaints there are. The last sound plan stays what it was.
   * @param {string} text @returns {number} */
  read(text) {
    return this.to.read(this.#put(this.to.text(), encoder.encode(text), 262144));
  }

  /** Which sky the plan read needs. @returns {string} */
  skyKey() {
    return this.#words(this.to.sky_key()) ?? "";
  }

  /**
   * Works the plan out; false when a formula does not hold or the sky is another plan's. A sky is taken in only when the one
   * the module has does not fit, since that costs more than all the rest.
   * @param {Uint8Array} sky
   */
  evaluate(sky) {
    let figures = this.to.evaluate();
    if (figures === NO_SKY && sky.length <= this.to.sky_most() &&
      this.to.take_sky(this.#put(this.to.sky(), sky, sky.length)) === 0) figures = this.to.evaluate();
    return figures >= 0;
  }

  /** @param {number} kind @returns {any} null when there is nothing */
  report(kind) {
    const words = this.#words(this.to.report(kind));
    return words ? JSON.parse(words) : null;
  }

  /** @returns {Complaint[]} */
  complaints() {
    const found = this.report(REPORT.complaints);
    return Array.isArray(found) ? found : found?.complaints ?? [];
  }

  /** @returns {Form | null} */
  form() {
    return this.report(REPORT.form);
  }

  /** @param {number} kind @returns {string | null} */
  draw(kind) {
    return this.#words(this.to.draw(kind));
  }

  /** @param {string} key of a result @returns {string} */
  working(key) {
    return this.#words(this.to.working(this.#putWords(key))) ?? "There is no working for this number.";
  }

  /**
   * The text with one field set; throws an Error in the core's words when they are no such value.
   * @param {number} section its place in the field table @param {number} nth @param {number} field @param {string} words
   * @returns {string}
   */
  change(section, nth, field, words) {
    const length = this.to.change(section, nth, field, this.#putWords(words));
    if (length < 0) throw new Error(this.#words(this.to.complain_change()) || "this is no such value");
    return /** @type {string} */ (this.#words(this.to.text(), length));
  }

  /** Light at the mark and clock time in a row of a night, ten minutes each.
   * @param {number} night @param {number} row @returns {{light_lx: number, clock_s: number}} */
  skyRow(night, row) {
    const at = this.to.rows() + (night * ROWS_A_NIGHT + row) * ROW_BYTES;
    const [light_lx, clock_s] = new Float64Array(this.to.memory.buffer.slice(at, at + 16));
    return { light_lx, clock_s };
  }

  /* ---- rehearsal and advice ---- */

  /** @param {number} seed */
  rehearseBegin(seed) {
    return this.to.rehearse_begin(seed) === 0;
  }

  /** @param {number} from @param {number} to seasons */
  rehearseRun(from, to) {
    this.to.rehearse_run(from, to);
  }

  /** @param {number} seasons @returns {Ledger | null} */
  rehearseSum(seasons) {
    this.to.rehearse_sum(seasons);
    return this.report(REPORT.ledger);
  }

  rehearseMost() {
    return this.to.rehearse_most();
  }

  /** @param {number} seed */
  adviseBegin(seed) {
    return this.to.advise_begin(seed) === 0;
  }

  /** True while there is more to do. */
  adviseStep() {
    return this.to.advise_step() === 1;
  }

  /** @returns {Advice | null} */
  advice() {
    return this.report(REPORT.advice);
  }

  /* ---- the light desk ---- */

  /** @param {number} width @param {number} height @param {number} along_m @param {number} sense */
  deskBegin(width, height, along_m, sense) {
    return this.to.desk_begin(width, height, along_m, sense) >= 0;
  }

  /** @param {number} step @param {number} done @param {number} from @param {number} to */
  deskPass(step, done, from, to) {
    this.to.desk_pass(step, done, from, to);
  }

  /** @param {number} from @param {number} to */
  deskSmooth(from, to) {
    this.to.desk_smooth(from, to);
  }

  /**
   * The picture as it is now, in that ambient light.
   * @param {number} width @param {number} height @param {number} ambient_lx @returns {Uint8ClampedArray<ArrayBuffer> | null} RGBA
   */
  deskExpose(width, height, ambient_lx) {
    const at = this.to.desk_expose(ambient_lx);
    if (!at) return null;
    const rgb = new Uint8Array(this.to.memory.buffer, at, 3 * width * height);
    const rgba = new Uint8ClampedArray(4 * width * height);
    for (let from = 0, to = 0; from < rgb.length; from += 3, to += 4) {
      rgba[to] = rgb[from];
      rgba[to + 1] = rgb[from + 1];
      rgba[to + 2] = rgb[from + 2];
      rgba[to + 3] = 255;
    }
    return rgba;
  }
}
