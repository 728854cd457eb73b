/* One worker as the page sees it: sent the sky only when that has changed. */

/** @typedef {import("./bench.js").Bench} Bench */

export class Helper {
  /** @param {WebAssembly.Module} module @param {Bench} bench @param {(words: string) => void} complain */
  constructor(module, bench, complain) {
    this.bench = bench;
    this.worker = new Worker("worker.js", { type: "module" });
    this.worker.addEventListener("error", () =>
      complain("Part of the workbench stopped working: load the page again. Your text is kept."));
    this.worker.postMessage({ module });
    /** @type {Uint8Array | null} */
    this.sky = null;
  }

  /** Asks for a job on the plan as it stands. @param {Record<string, any> & {job: string, turn: number}} wish */
  ask(wish) {
    const { bench } = this;
    if (bench.sky && bench.sky !== this.sky) {
      this.sky = bench.sky;
      this.worker.postMessage({ sky: bench.sky });
    }
    this.worker.postMessage({ text: bench.soundText, ...wish });
  }

  /** @param {string} what */
  stop(what) {
    this.worker.postMessage({ job: "stop", what });
  }

  /** @param {string} job @param {(told: any) => void} hear */
  on(job, hear) {
    this.worker.addEventListener("message", (event) => {
      if (event.data.job === job) hear(event.data);
    });
  }
}
