/* Making pieces of the page: no markup is ever parsed from words, so that no word can become markup. */

/** @typedef {Node | string | null | undefined | false} Piece */

/**
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name
 * @param {Record<string, any>} [given] attributes; `on...` are listeners, `class` and `data-...` as written
 * @param {...(Piece | Piece[])} pieces
 * @returns {HTMLElementTagNameMap[Name]}
 */
export function make(name, given = {}, ...pieces) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(given)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else element.setAttribute(key, value === true ? "" : String(value));
  }
  for (const piece of pieces.flat())
    if (piece !== null && piece !== undefined && piece !== false) element.append(piece);
  return element;
}

/** @template {HTMLElement} [T=HTMLElement] @param {string} id @returns {T} */
export function the(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no ${id}`);
  return /** @type {T} */ (element);
}

/** A number to so many digits as a person writes it. @param {number} value @param {number} [digits] */
export function rounded(value, digits = 2) {
  if (!Number.isFinite(value)) return "no number";
  if (value === 0) return "0";
  const places = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  return value.toFixed(Math.min(places, 6)).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "");
}

/** @param {number} share @returns {string} */
export function percent(share) {
  const value = share * 100;
  const words = value >= 99.5 && value < 100 ? "over 99" : value > 0 && value < 0.1 ? "under 0.1"
    : value < 1 ? rounded(value, 1) : String(Math.round(value));
  return `${words} %`;
}

/** What a result is called; one of several devices' alike, with the device before it.
 * @param {{key: string, label: string}} result */
export function nameOf(result) {
  const [, device, rest] = result.key.split(".");
  return rest === undefined ? result.label : `${device}: ${result.label}`;
}

/** A button that opens the working of a result. @param {string} key @param {string} words @param {string} label */
export function workingButton(key, words, label) {
  return make("button", { type: "button", class: "number", "data-working": key, "aria-haspopup": "dialog",
    "aria-label": `${label}: ${words}. Show how it is worked out` }, words);
}

/** @type {Map<string, CSSStyleSheet>} */
const sheets = new Map();

/* The drawings bring their style along; the page's policy lets only its own sheets in, so it becomes one of them. It is cut
   out of the words before they are parsed: a style element would be refused, loudly, as soon as it is one. */
/** @param {string} words */
function adoptStyle(words) {
  if (sheets.has(words)) return;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(words);
  sheets.set(words, sheet);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
}

/**
 * The drawing as an element, or null where the core gave none.
 * @param {string | null} svg
 * @returns {SVGSVGElement | null}
 */
export function drawing(svg) {
  if (!svg) return null;
  const plain = svg.replace(/<style>([^<]*)<\/style>/g, (_, words) => {
    adoptStyle(words);
    return "";
  });
  const root = new DOMParser().parseFromString(plain, "image/svg+xml").documentElement;
  return root.nodeName === "svg" ? /** @type {SVGSVGElement} */ (document.importNode(/** @type {Node} */ (root), true)) : null;
}
