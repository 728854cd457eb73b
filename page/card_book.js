/* A card as the log of its nights: frames grouped to nights, visits and the stretches in which nobody came. Pure. */

/** @typedef {import('./card_types.js').Frame} Frame */
/** @typedef {{number: number, frames: Frame[], best: Frame, row: string, sure: boolean}} Visit */
/** @typedef {{key: number|null, words: string, frames: number, visits: number, keepers: number}} Night */
/**
 * A stretch of the log: a night's heading, a heading of another kind, a visit, or frames without one.
 * @typedef {{kind: 'night', night: Night} | {kind: 'heading', words: string, note: string} |
 *     {kind: 'visit', visit: Visit, frames: Frame[]} | {kind: 'nobody', frames: Frame[], id: number}} Stretch
 */

const DAY_S = 86400;
const WEEKDAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/** In the order of the ledger; what stands nowhere here comes last. */
const ROWS = ["keeper", "cut", "soft", "dim", "burnt"];

/** @param {number} n */
const two = (n) => String(n).padStart(2, "0");

/** "23:59:51"; a dash where the time is not known. @param {number|null} taken */
export function clock(taken) {
  if (taken === null) return "–";
  const at = new Date(taken * 1000);
  return `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}:${two(at.getUTCSeconds())}`;
}

/** "Mon 11 Jan 2027". @param {number} time_s */
export function day(time_s) {
  const at = new Date(time_s * 1000);
  return `${WEEKDAYS[at.getUTCDay()]} ${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]} ${at.getUTCFullYear()}`;
}

/** "11 Jan". @param {number} time_s */
export function shortDay(time_s) {
  const at = new Date(time_s * 1000);
  return `${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]}`;
}

/** "12 s", "4 min", "1.5 h", "3 days". @param {number} s */
export function span(s) {
  if (s < 90) return `${Math.round(s)} s`;
  if (s < 5400) return `${Math.round(s / 60)} min`;
  return s < 2 * DAY_S ? `${Math.round(s / 360) / 10} h` : `${Math.round(s / DAY_S)} days`;
}

/** Days from 1970 to the evening of the night, which runs from noon to noon; null: not known. @param {Frame} frame */
export function nightOf(frame) {
  return frame.taken === null ? null : Math.floor((frame.taken - DAY_S / 2) / DAY_S);
}

/** Whether its boxes are of anything. @param {Frame} frame */
export function shows(frame) {
  return frame.verdict === "subject" || frame.verdict === "look";
}

/** @param {Frame[]} frames each visit's frames together @returns {Map<number, Visit>} */
function visitsOf(frames) {
  /** @type {Map<number, Visit>} */
  const visits = new Map();
  for (const frame of frames) {
    if (frame.visit === null) continue;
    const visit = visits.get(frame.visit) ?? { number: frame.visit, frames: [], best: frame, row: "", sure: false };
    visits.set(frame.visit, visit);
    visit.frames.push(frame);
    visit.sure ||= frame.verdict === "subject";
    if (frame.best) visit.best = frame;
  }
  for (const visit of visits.values()) visit.row = visit.best.row ?? "";
  return visits;
}

/** @param {Frame[]} frames @param {Map<number, Visit>} visits @returns {Map<number|null, Night>} */
function nightsOf(frames, visits) {
  /** @type {Map<number|null, Night>} */
  const nights = new Map();
  for (const frame of frames) {
    const key = nightOf(frame);
    const night = nights.get(key) ?? {
      key,
      words: key === null ? "Without a date" : `Night of ${day(key * DAY_S)}`,
      frames: 0,
      visits: 0,
      keepers: 0,
    };
    nights.set(key, night);
    night.frames++;
  }
  for (const visit of visits.values()) {
    const night = /** @type {Night} */ (nights.get(nightOf(visit.frames[0])));
    night.visits++;
    night.keepers += visit.row === "keeper" && visit.sure ? 1 : 0;
  }
  return nights;
}

/** The card's frames with what they group to. @param {Frame[]} frames */
export function readCard(frames) {
  const visits = visitsOf(frames);
  return { frames, visits, nights: nightsOf(frames, visits) };
}

/** @typedef {ReturnType<typeof readCard>} Book */

/** The whole log, in time. @param {Book} book @returns {Stretch[]} */
export function inTime(book) {
  /** @type {Stretch[]} */
  const log = [];
  /** @type {number|null|undefined} */
  let night, visit;
  const told = new Set();
  for (const frame of book.frames) {
    const last = log.at(-1),
      key = nightOf(frame),
      known = frame.visit === null ? undefined : book.visits.get(frame.visit);
    const goesOn = known !== undefined && frame.visit === visit; /* a visit about noon stays whole */
    if (key !== night && !goesOn) log.push({ kind: "night", night: /** @type {Night} */ (book.nights.get(key)) });
    if (!known && last?.kind === "nobody" && key === night) last.frames.push(frame);
    else if (!known) log.push({ kind: "nobody", frames: [frame], id: frame.n });
    else if (!told.has(known)) log.push({ kind: "visit", visit: known, frames: known.frames });
    told.add(known);
    visit = frame.visit;
    night = goesOn ? night : key;
  }
  return log;
}

/** @param {Visit} visit */
const place = (visit) => (ROWS.indexOf(visit.row) + ROWS.length + 1) % (ROWS.length + 1);

/** The visits by where they end, keepers first, the sure before the unsure, then the larger subject. @param {Book} book */
export function bestFirst(book) {
  const visits = [...book.visits.values()].sort(
    (a, b) => place(a) - place(b) || Number(b.sure) - Number(a.sure) || (b.best.score ?? 0) - (a.best.score ?? 0),
  );
  /** @type {Stretch[]} */
  const log = [];
  let row;
  for (const visit of visits) {
    if (visit.row !== row) {
      const count = visits.filter((other) => other.row === visit.row).length;
      log.push({
        kind: "heading",
        words: visit.row || "booked nowhere",
        note: `${count} ${count === 1 ? "visit ends" : "visits end"} so`,
      });
    }
    row = visit.row;
    log.push({ kind: "visit", visit, frames: visit.frames });
  }
  const rest = book.frames.filter((frame) => frame.visit === null);
  if (rest.length > 0)
    log.push(
      { kind: "heading", words: "nobody", note: "frames that belong to no visit" },
      { kind: "nobody", frames: rest, id: -1 },
    );
  return log;
}

/** "32 visits in 41 nights; 200 frames: 70 show something, 122 empty, 8 dark." @param {Book} book */
export function summary(book) {
  /** @param {string} verdict */
  const having = (verdict) => book.frames.filter((frame) => frame.verdict === verdict).length;
  const failed = having("flash failed"),
    cannot = having("can't judge");
  const visits = book.visits.size,
    nights = book.nights.size,
    frames = book.frames.length;
  return (
    `${visits} ${visits === 1 ? "visit" : "visits"} in ${nights} ${nights === 1 ? "night" : "nights"}; ` +
    `${frames} ${frames === 1 ? "frame" : "frames"}: ${having("subject") + having("look")} show something, ` +
    `${having("empty")} empty` +
    (failed ? `, ${failed} that no flash lit` : "") +
    (cannot ? `, ${cannot} that cannot be judged` : "") +
    "."
  );
}
