/* Pieces that the parts of the card side share: cropping lines, troubles in words, lines that are read out. */

import { make } from "./dom.js";

/**
 * An SVG element.
 * @param {string} tag
 * @param {Record<string, string|number>} about
 * @param {...(Node|string)} children
 * @returns {SVGElement}
 */
export function draw(tag, about, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(about)) element.setAttribute(name, String(value));
  element.append(...children);
  return /** @type {SVGElement} */ (element);
}

/** How far a cropping line runs on beyond its corner, of the longer side. */
const OVERSHOOT = 0.03;

/**
 * A path of lines ruled across the picture at the sides of its boxes, running on a little beyond the corners as one rules them
 * on a print to be cropped.
 * @param {number[][]} boxes in shares
 * @param {number} width @param {number} height
 */
function ruled(boxes, width, height) {
  const over = OVERSHOOT * Math.max(width, height);
  return boxes
    .map(([l, t, r, b]) => {
      const [left, top, right, bottom] = [l * width, t * height, r * width, b * height];
      const across = [top, bottom].map((y) => `M${left - over} ${y}H${right + over}`);
      const down = [left, right].map((x) => `M${x} ${top - over}V${bottom + over}`);
      return [...across, ...down].join("");
    })
    .join("");
}

/**
 * The cropping lines of a frame, laid over its picture; drawn twice so that they show on any ground. null: it has none.
 * @param {import('./card_types.js').Frame} frame
 */
export function cropLines(frame) {
  if (frame.boxes.length === 0) return null;
  const width = frame.width || 3,
    height = frame.height || 2,
    d = ruled(frame.boxes, width, height);
  return draw(
    "svg",
    { class: "crop", viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" },
    draw("path", { class: "under", d }),
    draw("path", { d }),
  );
}

/** What went wrong, in words. @param {unknown} error */
export function wordsOf(error) {
  return error instanceof Error ? error.message : String(error);
}

/**
 * A line that screen readers are told of when it changes.
 * @param {string} [look]
 */
export function statusLine(look = "said") {
  return make("p", { class: look, role: "status" });
}
