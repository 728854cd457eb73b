/* The working of a number: its formula, what went in and where it comes from, in a window over the page. */

import { make } from "./dom.js";
import { shown } from "./units.js";

/**
 * Any element with `data-working` opens the working of that result.
 * @param {(key: string) => string | null} workingOf
 */
export function openWorkings(workingOf) {
  const title = make("h2", { id: "working-title" }, "How it is worked out");
  const words = make("pre", { tabindex: "0" });
  const close = make("button", { type: "button", class: "chief", onclick: () => dialog.close() }, "Close");
  const dialog = make("dialog", { class: "working", "aria-labelledby": "working-title" }, title, words, close);
  document.body.append(dialog);
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("[data-working]") : null;
    const key = button?.getAttribute("data-working");
    const working = key ? workingOf(key) : null;
    if (!working) return;
    words.textContent = shown(working);
    dialog.showModal();
  });
}
