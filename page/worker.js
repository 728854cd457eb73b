/* Long work beside the page: rehearsal, advice and the light desk, each in a worker of its own. Work goes in short steps, so
   that a newer plan is noticed at once; what it overtakes is dropped. */

import { Core, DRAWING } from "./core.js";

const SEED = 1;
const QUICK_SEASONS = 200;
const SEASONS_A_STEP = 50;
const ROWS_A_STEP = 24;
const COARSENESS = [8, 4, 2, 1];

/**
 * @typedef {{module: WebAssembly.Module}} Start
 * @typedef {{sky: Uint8Array}} Sky the one that later plans need
 * @typedef {{text: string, turn: number}} Plan
 * @typedef {Plan & {job: "rehearse", seasons: number}} Rehearse
 * @typedef {Plan & {job: "advise"}} Advise
 * @typedef {Plan & {job: "desk", width: number, height: number, along_m: number, sense: number, ambient_lx: number,
 *   scene: string}} Desk scene: a text that changes with what is to be rendered anew
 * @typedef {{job: "stop", what: "advise"}} Stop
 */

/** @type {Uint8Array} */
let sky = new Uint8Array(0);

/** @type {Promise<Core> | null} */
let loading = null;
/** What is to be done of each kind: the newest alone. @type {Map<string, Generator<void, void, void>>} */
const jobs = new Map();
const ORDER = ["desk", "rehearse", "advise"];
const rendered = { scene: "", done: 0 };

/** @param {any} message @param {Transferable[]} [moved] */
function tell(message, moved = []) {
  postMessage(message, { transfer: moved });
}

/** Whether the plan is read and evaluated. @param {Core} core @param {Plan} plan */
function take(core, plan) {
  return core.read(plan.text) === 0 && core.evaluate(sky);
}

/** @param {Core} core @param {Rehearse} wish @param {number} seasons @param {number} began */
function tellLedger(core, wish, seasons, began) {
  const ledger = core.rehearseSum(seasons);
  tell({ job: "rehearse", turn: wish.turn, ledger, whole: seasons >= wish.seasons, took_ms: performance.now() - began,
    keepers: core.draw(DRAWING.keepers), lasting: core.draw(DRAWING.lasting) });
}

/** @param {Core} core @param {Rehearse} wish */
function* rehearse(core, wish) {
  const began = performance.now();
  const most = Math.min(wish.seasons, core.rehearseMost());
  if (!take(core, wish) || !core.rehearseBegin(SEED)) {
    tell({ job: "rehearse", turn: wish.turn, ledger: null, whole: true });
    return;
  }
  const quick = Math.min(QUICK_SEASONS, most);
  core.rehearseRun(0, quick);
  tellLedger(core, wish, quick, began);
  for (let from = quick; from < most; from += SEASONS_A_STEP) {
    yield;
    core.rehearseRun(from, Math.min(from + SEASONS_A_STEP, most));
  }
  if (most > quick) tellLedger(core, { ...wish, seasons: most }, most, began);
}

/** @param {Core} core @param {Advise} wish */
function* advise(core, wish) {
  if (!take(core, wish) || !core.adviseBegin(SEED)) {
    tell({ job: "advise", turn: wish.turn, advice: null, whole: true });
    return;
  }
  let steps = 0;
  while (core.adviseStep()) {
    steps += 1;
    if (steps % 10 === 0) tell({ job: "advise", turn: wish.turn, steps });
    yield;
  }
  tell({ job: "advise", turn: wish.turn, advice: core.advice(), whole: true });
}

/** @param {Core} core @param {Desk} wish @param {number} began */
function tellPicture(core, wish, began) {
  const pixels = core.deskExpose(wish.width, wish.height, wish.ambient_lx);
  tell({ job: "desk", turn: wish.turn, width: wish.width, height: wish.height, pixels, step: rendered.done,
    took_ms: performance.now() - began }, pixels ? [pixels.buffer] : []);
}

/* A change of light or settings alone develops the film anew; else it is rendered from coarse to fine. */
/** @param {Core} core @param {Desk} wish */
function* desk(core, wish) {
  const began = performance.now();
  if (!take(core, wish)) return;
  if (wish.scene !== rendered.scene) {
    rendered.scene = "";
    rendered.done = 0;
    if (!core.deskBegin(wish.width, wish.height, wish.along_m, wish.sense)) {
      tell({ job: "desk", turn: wish.turn, pixels: null });
      return;
    }
    rendered.scene = wish.scene;
  } else {
    tellPicture(core, wish, began);
  }
  for (const step of COARSENESS) {
    if (rendered.done && step >= rendered.done) continue;
    for (let from = 0; from < wish.height; from += step < 8 ? ROWS_A_STEP : wish.height) {
      core.deskPass(step, rendered.done, from, Math.min(from + (step < 8 ? ROWS_A_STEP : wish.height), wish.height));
      if (step < 8) yield;
    }
    rendered.done = step;
    tellPicture(core, wish, began);
    yield;
  }
  if (rendered.done === 1) {
    for (let from = 0; from < wish.height; from += ROWS_A_STEP) {
      core.deskSmooth(from, Math.min(from + ROWS_A_STEP, wish.height));
      yield;
    }
    rendered.done = 0.5; /* smoothed */
    tellPicture(core, wish, began);
  }
}

/* A task of its own for every step lets messages in between, without a timer's pause. */
const pulse = new MessageChannel();
let beating = false;

function beat() {
  beating = false;
  for (const name of ORDER) {
    const job = jobs.get(name);
    if (!job) continue;
    if (job.next().done && jobs.get(name) === job) jobs.delete(name);
    break;
  }
  if (jobs.size > 0) wake();
}

function wake() {
  if (beating) return;
  beating = true;
  pulse.port2.postMessage(null);
}
pulse.port1.onmessage = beat;

/** @param {MessageEvent<Start | Sky | Rehearse | Advise | Desk | Stop>} event */
onmessage = async (event) => {
  const wish = event.data;
  if ("module" in wish) {
    loading = Core.of(wish.module);
    return;
  }
  if ("sky" in wish) {
    sky = wish.sky;
    return;
  }
  const core = await loading;
  if (!core) return;
  if (wish.job === "stop") {
    jobs.delete(wish.what);
    return;
  }
  if (wish.job === "rehearse") jobs.set("rehearse", rehearse(core, wish));
  if (wish.job === "advise") jobs.set("advise", advise(core, wish));
  if (wish.job === "desk") jobs.set("desk", desk(core, wish));
  wake();
};
