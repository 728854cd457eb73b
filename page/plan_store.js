/* The plan's text: the one thing that is edited. Form, stage and textarea all write here; undo, draft and saving are of it. */

import { Refusal, getJson, postJson } from "./http.js";

const STEPS_MOST = 300;
const ONE_GO_MS = 1200; /* edits of the same thing so close together are undone together */
const DRAFT_AFTER_MS = 250;

/** @typedef {{text: string, stamp: string, at: number}} Draft */

export class PlanStore extends EventTarget {
  text = "";
  name = "";
  path = "";
  stamp = "";
  savedText = "";
  /** @type {string[]} */
  #past = [];
  /** @type {string[]} */
  #future = [];
  #last = { what: "", at: 0 };
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #drafting;

  get changed() {
    return this.text !== this.savedText;
  }

  get canUndo() {
    return this.#past.length > 0;
  }

  get canRedo() {
    return this.#future.length > 0;
  }

  get #draftKey() {
    return `owllight.draft:${this.path}`;
  }

  /** Opens the server's plan and takes up a draft that was not saved. @returns {Promise<Draft | null>} the draft taken up */
  async open() {
    const plan = await getJson("/api/plan");
    this.path = plan.path ?? "";
    this.name = plan.name ?? "a plan";
    this.stamp = plan.stamp ?? "";
    this.savedText = plan.text ?? "";
    this.text = this.savedText;
    const draft = this.#readDraft();
    if (draft && draft.text !== this.savedText) {
      this.#past.push(this.savedText);
      this.text = draft.text;
      if (draft.stamp) this.stamp = draft.stamp; /* so that saving finds out whether the file moved on */
    }
    this.#tell("opened");
    return draft && draft.text !== this.savedText ? draft : null;
  }

  /** @param {string} text @param {string} what is edited: repeated edits of it join into one step */
  edit(text, what) {
    if (text === this.text) return;
    const now = Date.now();
    const joins = what !== "" && what === this.#last.what && now - this.#last.at < ONE_GO_MS && this.#past.length > 0;
    if (!joins) this.#past.push(this.text);
    if (this.#past.length > STEPS_MOST) this.#past.shift();
    this.#future.length = 0;
    this.#last = { what, at: now };
    this.#become(text, what);
  }

  /** Ends a step, so that the next edit is one of its own. */
  endStep() {
    this.#last.what = "";
  }

  undo() {
    const text = this.#past.pop();
    if (text === undefined) return;
    this.#future.push(this.text);
    this.endStep();
    this.#become(text, "undo");
  }

  redo() {
    const text = this.#future.pop();
    if (text === undefined) return;
    this.#past.push(this.text);
    this.endStep();
    this.#become(text, "redo");
  }

  /**
   * Writes the plan to its file; what the file holds instead, when it was changed meanwhile.
   * @returns {Promise<{text: string, stamp: string} | null>}
   */
  async save() {
    const text = this.text;
    try {
      const answer = await postJson("/api/plan", { text, stamp: this.stamp });
      this.stamp = answer.stamp;
    } catch (fault) {
      if (fault instanceof Refusal && fault.status === 409 && fault.body) return fault.body;
      throw fault;
    }
    this.savedText = text;
    this.#writeDraft();
    this.#tell("saved");
    return null;
  }

  /** After a conflict: what the file holds now counts as read, and is kept as a step to go back to.
   * @param {{text: string, stamp: string}} theirs @param {boolean} take whether their text becomes ours */
  settle(theirs, take) {
    this.stamp = theirs.stamp;
    this.savedText = theirs.text;
    if (take) this.edit(theirs.text, "");
    else this.#tell("settled");
  }

  /** @param {string} text @param {string} what */
  #become(text, what) {
    this.text = text;
    clearTimeout(this.#drafting);
    this.#drafting = setTimeout(() => this.#writeDraft(), DRAFT_AFTER_MS);
    this.#tell(what);
  }

  /** @param {string} what */
  #tell(what) {
    this.dispatchEvent(new CustomEvent("change", { detail: what }));
  }

  /** @returns {Draft | null} */
  #readDraft() {
    try {
      const draft = JSON.parse(localStorage.getItem(this.#draftKey) ?? "null");
      return draft && typeof draft.text === "string" ? draft : null;
    } catch {
      return null;
    }
  }

  /** Keeps what is not saved, in case page or browser go; called on leaving too. */
  #writeDraft() {
    try {
      if (this.changed)
        localStorage.setItem(this.#draftKey, JSON.stringify({ text: this.text, stamp: this.stamp, at: Date.now() }));
      else localStorage.removeItem(this.#draftKey);
    } catch {
      /* nowhere to keep it: saving to the file still works */
    }
  }

  keepDraft() {
    clearTimeout(this.#drafting);
    if (this.path || this.text) this.#writeDraft();
  }
}
