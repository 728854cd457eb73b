/* Lengths for people: metres as the core writes them, or feet and inches. The plan itself stays metric. */

const METRES_PER_FOOT = 0.3048;
const METRES_PER_INCH = METRES_PER_FOOT / 12;
const METRES = /** @type {Record<string, number>} */ ({ m: 1, cm: 0.01 });

let imperial = false;

/** @param {string} name `metric` or `imperial` */
export function setLengths(name) {
  imperial = name === "imperial";
}

export function lengthsNow() {
  return imperial ? "imperial" : "metric";
}

/** @param {number} length_m @returns {string} `4 ft 3 in`, `7.5 in` */
function inFeet(length_m) {
  const inches = length_m / METRES_PER_INCH;
  if (inches < 12) return `${inches < 3 ? inches.toFixed(2).replace(/\.?0+$/, "") : Math.round(inches * 2) / 2} in`;
  if (inches >= 1200) return `${Math.round(inches / 12)} ft`;
  const whole = Math.round(inches);
  return whole % 12 ? `${Math.floor(whole / 12)} ft ${whole % 12} in` : `${whole / 12} ft`;
}

/**
 * Words of the core with their lengths in the units wished for. Millimetres, the trade's measure for lenses, stay.
 * @param {string} words
 */
export function shown(words) {
  if (!imperial) return words;
  return words.replace(/(\d+(?:\.\d+)?) (m|cm)(?![\w/²])/g, (_, number, unit) => inFeet(Number(number) * METRES[unit]));
}

/** What a person typed, in words the core reads. @param {string} words */
export function typed(words) {
  const feet = /(\d+(?:\.\d+)?) ?(?:ft|')(?: ?(\d+(?:\.\d+)?) ?(?:in|"))?|(\d+(?:\.\d+)?) ?(?:in|")(?!\w)/g;
  return words.trim().replace(feet, (_, ft, andInches, inches) =>
    metres(Number(ft ?? 0) * METRES_PER_FOOT + Number(andInches ?? inches ?? 0) * METRES_PER_INCH));
}

/** A length as a plan holds it, to the millimetre. @param {number} length_m */
export function metres(length_m) {
  const millimetres = Math.round(length_m * 1000);
  return Math.abs(millimetres) < 1000 ? `${millimetres / 10} cm` : `${millimetres / 1000} m`;
}

/** @typedef {{x: number, y: number, z: number}} Point metres: right as the camera sees it, away from the camera, up */

/** @param {Point} point @returns {string} */
export function writePoint(point) {
  /** @param {number} value @param {string} plus @param {string} minus */
  const part = (value, plus, minus) =>
    Math.abs(value) < 0.0005 ? [] : [`${metres(Math.abs(value))} ${value > 0 ? plus : minus}`];
  return [...part(point.x, "right", "left"), ...part(point.y, "behind", "before"), ...part(point.z, "up", "down")]
    .join(", ") || "mark";
}
