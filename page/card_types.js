/* What the card side of the page asks of its neighbours: the shapes of the server's answers and of page/http.js.
   Types only; nothing here runs. Times are seconds since 1970 by the camera's own clock, put right by the card's shift; null
   stands for what is not known. Boxes, width and height are those of the upright picture, as it is shown. */

/**
 * One frame. Frames come in the order of time (of names, where the clock was lost), and n is its number for /api/small/n.
 * @typedef {object} Frame
 * @property {number} n
 * @property {string} name
 * @property {number|null} taken
 * @property {string} verdict       subject, look, empty, flash failed, can't judge
 * @property {string|null} row      of the ledger; null where the frame is booked nowhere
 * @property {number|null} visit    its number, from 1
 * @property {boolean} best         of its visit
 * @property {number|null} score
 * @property {string} flash
 * @property {number[][]} boxes     left, top, right, bottom in shares of the sides
 * @property {boolean} corrected    the verdict is the user's word
 * @property {string} remarks
 * @property {number} width
 * @property {number} height
 */

/**
 * The visits of the card by row. first: sure visits by first failing link; only: those that mending this one alone would win;
 * unsure: visits without a sure subject, by first failing link.
 * @typedef {{row: string, means: string, first: number, only: number, unsure: number}} LedgerRow
 * @typedef {{rows: LedgerRow[], visits: number, unsure: number, blind: number}} Ledger
 */

/**
 * @typedef {{seen: number, expected: number|null, p: number}} Counted
 * @typedef {object} Link
 * @property {string} row
 * @property {number} share      rehearsed, of the visits that reach this link
 * @property {number} reached
 * @property {number} failed
 * @property {number} low        95 % interval of the share, by what was seen
 * @property {number} high
 * @property {number} p
 * @property {number} blame
 */

/**
 * What came against what was rehearsed; visits and empties are null unless the card covers the plan's watch.
 * @typedef {object} Observed
 * @property {string} plan
 * @property {number} seasons
 * @property {Link[]} links
 * @property {number} p
 * @property {boolean} exact
 * @property {number} none
 * @property {string} blamed     a row; keeper: all is as rehearsed
 * @property {Counted|null} visits
 * @property {Counted|null} empties
 */

/** @typedef {{folder: string, watch: string|null, frames: Frame[], ledger: Ledger, observed: Observed|null}} Card */

/**
 * The answer to a correction: the new card, with all frames that are in visits and the one corrected. What it leaves out is as it
 * was, and in no visit.
 * @typedef {{frames: Frame[], ledger: Ledger, observed: Observed|null}} Change
 */

/** @typedef {{folder: string, watch: string|null, frames: number, pulled: boolean, judged: boolean}} KnownCard */
/** @typedef {{cards: KnownCard[], watches: string[]}} KnownCards */
/** @typedef {{job: string, doing: string, done: number, all: number, left_s: number|null}} Progress */
/** @typedef {{job: string, exit: number, words: string}} Done */

/** @typedef {{severity: string, words: string, advice: string, working: string, from: number|null, to: number|null}} Finding */
/**
 * noon: the noon a night begins with; hour: 0 to 23.
 * @typedef {{noon: number, frames: number, subjects: number, empties: number, fogged: number, misfires: number}} HealthNight
 * @typedef {{hour: number, frames: number, subjects: number, empties: number}} HealthHour
 * @typedef {{findings: Finding[], nights: HealthNight[], hours: HealthHour[]}} Health
 */

/** What page/http.js exports; handed in so that the card side can be tried without a server. */
/**
 * @typedef {object} Http
 * @property {(path: string) => Promise<any>} getJson
 * @property {(path: string) => Promise<string>} getText
 * @property {(path: string, body: any) => Promise<any>} postJson
 * @property {(on: Record<string, (data: any) => void>) => () => void} listen
 */

export {};
