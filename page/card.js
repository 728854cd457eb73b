/* The card's room: the log of its nights as strips of film, and beside it the desk with ledger, health and forms.

   For the rest of the page: `open(root, http)` fills root and `close()` empties it; http is the module page/http.js itself
   (import * as http). page/card.css is linked here when the page has not done so. The shapes of the answers: card_types.js. */
import { make } from "./dom.js";
import { bestFirst, day, inTime, readCard, shortDay, summary } from "./card_book.js";
import { judgeForm, jobLine, knownCards, pullForm, writeOut } from "./card_jobs.js";
import { showLedger, whatMoved } from "./card_ledger.js";
import { wordsOf } from "./card_dom.js";
import { frameView } from "./frame.js";
import { gallery } from "./gallery.js";
import { showHealth } from "./health.js";

/** @typedef {import("./card_types.js").Card} Card */
/** @typedef {import("./card_types.js").Frame} Frame */
/** @typedef {import("./card_types.js").Http} Http */

const DAY_S = 86400;
const SHEET = "card.css";
const SHAPE = 1.5; /* of a picture whose size is not known */

/** @type {(() => void)|null} */
let leave = null;

/** A part of the desk that folds. @param {string} words @param {boolean} open @param {...Node} pieces */
function fold(words, open, ...pieces) {
  return make("details", { class: "fold", open }, make("summary", {}, make("h3", {}, words)), ...pieces);
}

/** @param {string} name @param {[string, string][]} choices @param {(value: string) => void} act */
function choice(name, choices, act) {
  const buttons = choices.map(([value, words], i) =>
    make(
      "button",
      {
        type: "button",
        "aria-pressed": String(i === 0),
        onclick: () => {
          for (const button of buttons) button.setAttribute("aria-pressed", String(button.textContent === words));
          act(value);
        },
      },
      words,
    ),
  );
  return make("div", { class: "choice", role: "group", "aria-label": name }, ...buttons);
}

/** One tab stop for many buttons: the arrows go from one to the next. @param {HTMLElement} host */
function oneTabStop(host) {
  host.addEventListener("keydown", (event) => {
    const buttons = [...host.querySelectorAll("button")],
      at = buttons.indexOf(/** @type {HTMLButtonElement} */ (event.target));
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: buttons.length - 1 }[event.key];
    if (at < 0 || to === undefined || !buttons[to]) return;
    event.preventDefault();
    buttons[at].tabIndex = -1;
    buttons[to].tabIndex = 0;
    buttons[to].focus();
  });
}

/** The card's nights, one small column each: height by visits, the open foot by frames with nobody. */
function nightRule(/** @type {(key: number|null) => void} */ go) {
  const element = make("div", { class: "nights", role: "group", "aria-label": "Go to a night" });
  oneTabStop(element);
  /** @type {Map<number|null, HTMLElement>} */
  const marks = new Map();
  return {
    element,
    /** @param {import("./card_book.js").Book} book */
    show(book) {
      marks.clear();
      let month = "";
      element.replaceChildren(
        ...[...book.nights.values()].map((night, i) => {
          const [date, name] = night.key === null ? ["?", ""] : shortDay(night.key * DAY_S).split(" ");
          const button = make(
            "button",
            {
              type: "button",
              tabindex: i ? -1 : 0,
              class: night.visits ? "came" : null,
              onclick: () => go(night.key),
              "aria-label": `${night.words}: ${night.visits} visits, ${night.keepers} kept`,
            },
            make("b", {}, date),
            " ",
            make("small", {}, name === month ? "" : name),
            make(
              "i",
              { "aria-hidden": "true" },
              "●".repeat(Math.min(night.keepers, 3)) + "○".repeat(Math.min(night.visits - night.keepers, 3)),
            ),
          );
          month = name;
          marks.set(night.key, button);
          return button;
        }),
      );
    },
    /** Marks where the reader is. @param {number|null} key */
    mark(key) {
      element.querySelector("[aria-current]")?.removeAttribute("aria-current");
      marks.get(key)?.setAttribute("aria-current", "true");
    },
  };
}

function linkSheet() {
  if (!document.querySelector(`link[href$="${SHEET}"]`))
    document.head.append(make("link", { rel: "stylesheet", href: SHEET }));
}

/** The commonest width over height of the first frames. @param {Frame[]} frames */
function shapeOf(frames) {
  const known = frames.find(({ width, height }) => width > 0 && height > 0);
  return known ? Math.min(2.4, Math.max(0.6, known.width / known.height)) : SHAPE;
}

/** @param {HTMLElement} root @param {Http} http */
function enter(root, http) {
  /** @type {Card|null} */
  let card = null;
  let book = readCard([]),
    order = "time",
    unrolled = false,
    looked = false,
    stale = false,
    first = true;
  /** @type {Map<number, Frame>} */
  let byNumber = new Map();

  const title = make("h2", {}, "The card"),
    told = make("p", { class: "summary" });
  const line = jobLine(http),
    pull = pullForm(http, line),
    judge = judgeForm(http, line),
    known = knownCards(http, line),
    out = writeOut(http);
  const ledgerHost = make("div", { class: "ledger" }),
    healthHost = make("div", { class: "health" });
  const rule = nightRule((key) => strips.goToNight(key));
  const host = make("div", { class: "gallery" }),
    here = make("p", { class: "here", "aria-hidden": "true" });
  const unroll = make("input", {
    type: "checkbox",
    onchange: () => {
      unrolled = unroll.checked;
      lay();
    },
  });
  const orderChoice = choice(
    "Order of the visits",
    [
      ["time", "night by night"],
      ["best", "best first"],
    ],
    (value) => {
      order = value;
      lay();
    },
  );
  const log = make(
    "section",
    { class: "card-log", "aria-label": "The log" },
    rule.element,
    make(
      "div",
      { class: "card-tools" },
      orderChoice,
      make("label", { class: "check" }, unroll, " unroll frames with nobody"),
    ),
    here,
    host,
  );
  const home = fold(
    "Bring a card home",
    true,
    known.element,
    make("h4", {}, "Pull a card"),
    pull.element,
    make("h4", {}, "Judge a folder"),
    judge.element,
  );
  const ledgerFold = fold("Before and after", innerWidth >= 900, ledgerHost);
  const healthFold = fold("How the rig fares", innerWidth >= 900, healthHost);
  const desk = make(
    "aside",
    { class: "card-desk", "aria-label": "The card's desk" },
    ledgerFold,
    healthFold,
    home,
    fold("Write it out", false, out.element),
  );
  root.replaceChildren(
    make(
      "div",
      { class: "card-inside" },
      make("header", { class: "card-head" }, title, told, line.element),
      make("div", { class: "card-columns" }, log, desk),
    ),
  );

  const strips = gallery(host, {
    open: (n) => large.open(n, strips.sequence()),
    turned: (key) => {
      rule.mark(key);
      here.textContent = key === null ? "" : `Night of ${day(key * DAY_S)}`;
    },
  });
  const large = frameView(http, {
    frame: (n) => /** @type {Frame} */ (byNumber.get(n)),
    correct,
    means: (row) => card?.ledger.rows.find((other) => other.row === row)?.means ?? "",
    closed: layAnew,
  });
  root.firstElementChild?.append(large.element);

  /* ---- showing ---- */

  function lay() {
    strips.show(order === "time" ? inTime(book) : bestFirst(book), unrolled, shapeOf(book.frames));
  }

  /** Puts the user's words to use once no frame is being looked at any more, and goes back to frame n. @param {number} n */
  function layAnew(n) {
    if (stale) {
      stale = false;
      rule.show(book);
      lay();
      looked = false;
      lookAtHealth();
    }
    strips.focusFrame(n);
  }

  /** @param {string} row */
  function goToRow(row) {
    if (order !== "best") /** @type {HTMLElement} */ (orderChoice.lastElementChild).click();
    strips.goToHeading(row);
  }

  /** @param {import("./card_types.js").Ledger|null} before */
  function showBook(before) {
    if (!card) return;
    book = readCard(card.frames);
    byNumber = new Map(card.frames.map((frame) => [frame.n, frame]));
    title.textContent = card.watch
      ? `Watch ${card.watch}`
      : `Card ${card.folder.split("/").filter(Boolean).at(-1) ?? ""}`;
    told.textContent = summary(book);
    showLedger(ledgerHost, card.ledger, card.observed, before, goToRow);
  }

  /** @param {boolean} any whether a card is open */
  function showParts(any) {
    for (const part of [log, ledgerFold, healthFold]) part.hidden = !any;
    /** @type {HTMLElement} */ (desk.lastElementChild).hidden = !any;
    root.classList.toggle("no-card", !any);
  }

  async function load() {
    try {
      const fresh = /** @type {Card} */ (await http.getJson("/api/card"));
      if (card && card.folder !== fresh.folder && large.element.open) large.element.close();
      card = fresh;
    } catch (error) {
      card = null;
      told.textContent =
        /** @type {{status?: number}} */ (error).status === 404
          ? "No card is open. Pull one from the camera, judge a folder, or open one from the book."
          : wordsOf(error);
    }
    showParts(card !== null);
    if (first || !card) home.open = card === null;
    first = false;
    if (card) {
      showBook(null);
      rule.show(book);
      lay();
      out.suggest(card.folder);
      looked = false;
      lookAtHealth();
    }
    try {
      const cards = /** @type {import("./card_types.js").KnownCards} */ (await http.getJson("/api/cards"));
      known.show(cards, card?.folder ?? null);
      pull.offer(cards.watches);
    } catch {
      /* the forms do without */
    }
  }

  /** The health is asked for when it is first looked at, and anew after a correction: it costs the server a while. */
  function lookAtHealth() {
    if (looked || !healthFold.open || !card) return;
    looked = true;
    void showHealth(healthHost, http);
  }
  healthFold.addEventListener("toggle", lookAtHealth);

  /* ---- the user's word ---- */

  /** @param {number} n @param {string} verdict */
  async function correct(n, verdict) {
    const change = /** @type {import("./card_types.js").Change} */ (
      await http.postJson("/api/correct", { frame: n, verdict })
    );
    if (!card) return "";
    const before = card.ledger,
      changed = new Map(change.frames.map((frame) => [frame.n, frame]));
    const frames = card.frames.map((frame) => changed.get(frame.n) ?? { ...frame, visit: null, best: false });
    card = { ...card, frames, ledger: change.ledger, observed: change.observed };
    showBook(before);
    stale = true;
    if (!large.element.open) layAnew(n);
    return whatMoved(before, card.ledger);
  }

  const deafen = http.listen({
    progress: line.progress,
    lost: () => void load(),
    done: (/** @type {import("./card_types.js").Done} */ end) => {
      line.end(end.words);
      void load();
    },
  });
  void load();
  return () => {
    deafen();
    large.close();
    strips.close();
    root.replaceChildren();
  };
}

/** Shows the card's room in `root`. @param {HTMLElement} root @param {Http} http */
export function open(root, http) {
  close();
  linkSheet();
  leave = enter(root, http);
}

/** Leaves the room and lets go of everything. */
export function close() {
  leave?.();
  leave = null;
}
