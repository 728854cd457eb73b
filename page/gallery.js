/* The card's log of nights and visits as strips of film. Only strips near the screen are in the document: the height of each
   is known beforehand from its kind and the width, so that ten thousand frames scroll as lightly as ten. */
import { make } from "./dom.js";
import { cropLines } from "./card_dom.js";
import { clock, shows, span } from "./card_book.js";
import { smallPictures } from "./small.js";

/** @typedef {import("./card_types.js").Frame} Frame */
/** @typedef {import("./card_book.js").Stretch} Stretch */
/**
 * night: the one the row lies in, where nights follow each other.
 * @typedef {{stretch: Stretch, frames: Frame[], first: boolean, top: number, height: number,
 *   night: number|null|undefined}} Row
 */
/**
 * Lengths in px; log: of the written line above a strip, where there is one.
 * @typedef {{columns: number, cell: number, picture: number, strip: number, log: number, rem: number, wide: boolean}} Measures
 */

/* In rem, as card.css draws them. */
const LOG_REM = 11; /* the written column beside the strips */
const LOG_LINE_REM = 2.4; /* or above them, where there is no room beside */
const CELL_REM = 10; /* a picture's least width where there is room to choose */
const FILM_REM = 0.5; /* of film around the pictures */
const EDGE_REM = 1.35; /* each of the two lines of edge print */
const APART_REM = 1; /* between strips */
const NIGHT_REM = 4;
const NOBODY_REM = 2.6;
const WIDE_REM = 42; /* from which the log stands beside the strips */
const MOST_COLUMNS = 8;

const BEYOND_PX = 700; /* kept in the document above and below the screen */
const FAST_PX_MS = 2.5; /* scrolling faster than anybody looks: pictures wait */
const CALM_MS = 90;

/** @param {number} width_px @param {number} rem @param {number} shape width over height @returns {Measures} */
function measure(width_px, rem, shape) {
  const wide = width_px >= WIDE_REM * rem;
  const room = width_px - (wide ? LOG_REM * rem : 0) - FILM_REM * rem;
  const columns = Math.max(2, Math.min(MOST_COLUMNS, Math.floor(room / ((CELL_REM + FILM_REM) * rem))));
  const cell = Math.floor(room / columns - FILM_REM * rem);
  const picture = Math.round(cell / shape);
  const strip = picture + Math.round((2 * EDGE_REM + 2 * FILM_REM) * rem);
  return { columns, cell, picture, strip, log: wide ? 0 : LOG_LINE_REM * rem, rem, wide };
}

/**
 * The rows of a log: what is taller than a strip is cut into strips.
 * @param {Stretch[]} log @param {Measures} m @param {(id: number) => boolean} unrolled
 */
function rowsOf(log, m, unrolled) {
  /** @type {Row[]} */
  const rows = [];
  let top = 0;
  /** @type {number|null|undefined} */
  let night;
  /** @param {Stretch} stretch @param {Frame[]} frames @param {boolean} first @param {number} height */
  const add = (stretch, frames, first, height) => {
    if (stretch.kind === "night") night = stretch.night.key;
    rows.push({ stretch, frames, first, top, height, night });
    top += height;
  };
  for (const stretch of log) {
    if (stretch.kind === "night" || stretch.kind === "heading") {
      add(stretch, [], true, NIGHT_REM * m.rem);
      continue;
    }
    if (stretch.kind === "nobody") {
      add(stretch, [], true, NOBODY_REM * m.rem);
      if (!unrolled(stretch.id)) continue;
    }
    for (let from = 0; from < stretch.frames.length; from += m.columns) {
      const written = stretch.kind === "visit" && from === 0 ? m.log : 0;
      const frames = stretch.frames.slice(from, from + m.columns);
      const last = from + m.columns >= stretch.frames.length;
      add(stretch, frames, from === 0, m.strip + written + (last ? APART_REM * m.rem : 2));
    }
  }
  return { rows, height: top };
}

/** What the strip shows by its marks alone, for those who hear it. @param {Frame} frame */
function unseen(frame) {
  const verdict = frame.row === null ? "" : frame.verdict; /* else it stands below the picture */
  return [verdict, frame.best ? "best of its visit" : "", frame.remarks]
    .filter(Boolean)
    .map((words) => `, ${words}`)
    .join("");
}

/** What stands below the picture. @param {Frame} frame */
function foot(frame) {
  const words = frame.row ?? frame.verdict;
  return frame.verdict === "look" ? `${words}?` : words;
}

/** @param {Frame} frame @param {boolean} current */
function cellOf(frame, current) {
  const picture = make("img", { alt: "", decoding: "async", draggable: "false" });
  const lines = shows(frame) ? cropLines(frame) : null;
  const cell = make(
    "button",
    { type: "button", class: `cell${frame.best ? " best" : ""}`, "data-n": frame.n, tabindex: current ? 0 : -1 },
    make(
      "span",
      { class: "edge" },
      make("b", {}, make("span", { class: "unseen" }, "frame "), String(frame.n + 1)),
      " ",
      make("span", {}, clock(frame.taken)),
      " ",
    ),
    make("span", { class: "print" }, picture, lines),
    make(
      "span",
      { class: "edge foot" },
      make("span", {}, foot(frame), make("span", { class: "unseen" }, unseen(frame))),
      " ",
      frame.corrected ? make("i", {}, "your word") : null,
    ),
  );
  return { cell, picture };
}

/** @param {import("./card_book.js").Visit} visit */
function visitLog(visit) {
  const first = visit.frames[0].taken,
    last = /** @type {Frame} */ (visit.frames.at(-1)).taken;
  const lasted = first !== null && last !== null && last > first ? ` in ${span(last - first)}` : "";
  const frames = visit.frames.length;
  return make(
    "div",
    { class: "log" },
    make("b", {}, clock(first)),
    make("span", {}, `visit ${visit.number}`),
    make("span", {}, `${frames} ${frames === 1 ? "frame" : "frames"}${lasted}`),
    make(
      "span",
      { class: visit.row === "keeper" ? "ends keeper" : "ends" },
      visit.row || "not booked",
      visit.sure ? "" : ", not sure",
    ),
  );
}

/** @param {import("./card_book.js").Night} night */
function nightLine(night) {
  const visits = night.visits ? `${night.visits} ${night.visits === 1 ? "visit" : "visits"}` : "nobody came";
  const keepers = night.keepers ? `, ${night.keepers} kept` : "";
  return `${visits}${keepers}; ${night.frames} ${night.frames === 1 ? "frame" : "frames"}`;
}

/** "23:59". @param {number|null} taken */
const minute = (taken) => clock(taken).slice(0, 5);

/** @param {Frame[]} frames */
function nobodyLine(frames) {
  const dark = frames.filter((frame) => frame.verdict === "flash failed").length;
  const first = frames[0].taken,
    last = /** @type {Frame} */ (frames.at(-1)).taken;
  const when = frames.length === 1 ? minute(first) : `${minute(first)} to ${minute(last)}`;
  const empty = frames.length - dark;
  const parts = [
    empty ? `nobody in ${empty === 1 ? "1 frame" : `${empty} frames`}` : "",
    dark ? `${dark === 1 ? "1 frame" : `${dark} frames`} that no flash lit` : "",
  ];
  return { when, words: parts.filter(Boolean).join(", ") };
}

/** What scrolls an element. @param {Element} element @returns {Element} */
function scrollerOf(element) {
  for (let at = element.parentElement; at; at = at.parentElement)
    if (at !== document.body && /auto|scroll/.test(getComputedStyle(at).overflowY) && at.scrollHeight > at.clientHeight)
      return at;
  return document.scrollingElement ?? document.documentElement;
}

/**
 * The gallery in `host`. `open` is called with the number of the frame that is to be shown large; `turned` whenever another
 * night has come to the top.
 * @param {HTMLElement} host
 * @param {{open: (n: number) => void, turned?: (night: number|null) => void}} acts
 */
export function gallery(host, acts) {
  const roll = make("div", { class: "roll", role: "list", "aria-label": "Strips, in the order chosen" });
  host.append(roll);
  /** @type {Stretch[]} */
  let log = [];
  /** @type {Row[]} */
  let rows = [];
  /** @type {Set<number>} */
  const unrolled = new Set();
  /** @type {Map<Row, HTMLElement>} */
  const drawn = new Map();
  /** @type {Map<number, Row>} */
  let rowOf = new Map();
  /** @type {Measures} */
  let measures = measure(320, 16, 1.5);
  let all = false,
    shape = 1.5,
    width = 0,
    current = -1,
    asked = 0,
    lastTop = 0,
    lastTime = 0,
    calm = 0;
  /** @type {number|null|undefined} */
  let nightAtTop;
  const pictures = smallPictures(() => innerHeight / 2 - roll.getBoundingClientRect().top);

  /* ---- where we are ---- */

  /** The first row that ends below `y`. @param {number} y */
  function rowAt(y) {
    let low = 0,
      high = rows.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (rows[middle].top + rows[middle].height > y) high = middle;
      else low = middle + 1;
    }
    return low;
  }

  /* ---- drawing ---- */

  /** @param {Row} row */
  function rowElement(row) {
    const { stretch } = row;
    const element = make("div", { class: `stretch ${stretch.kind}`, role: "listitem" });
    if (stretch.kind === "night")
      element.append(make("h3", {}, stretch.night.words), make("p", {}, nightLine(stretch.night)));
    else if (stretch.kind === "heading") element.append(make("h3", {}, stretch.words), make("p", {}, stretch.note));
    else if (stretch.kind === "nobody" && row.frames.length === 0) element.append(...nobodyRow(stretch));
    else {
      if (stretch.kind === "visit" && row.first) element.append(visitLog(stretch.visit));
      const film = make("div", { class: "film" });
      for (const frame of row.frames) {
        const { cell, picture } = cellOf(frame, frame.n === current);
        film.append(cell);
        pictures.want(picture, `/api/small/${frame.n}`, row.top + row.height / 2);
      }
      element.append(film);
    }
    element.style.transform = `translateY(${row.top}px)`;
    element.style.height = `${row.height}px`;
    return element;
  }

  /** @param {{frames: Frame[], id: number}} stretch */
  function nobodyRow(stretch) {
    const { when, words } = nobodyLine(stretch.frames),
      open = isUnrolled(stretch.id);
    return [
      make("b", {}, when),
      make("span", {}, words),
      make(
        "button",
        {
          type: "button",
          class: "unroll",
          "data-id": stretch.id,
          "aria-expanded": String(open),
          "aria-label": `${open ? "Roll up" : "Unroll"}: ${words}, ${when}`,
        },
        open ? "roll up" : "unroll",
      ),
    ];
  }

  /** @param {Row} row */
  function take(row) {
    const element = drawn.get(row);
    if (!element) return;
    for (const picture of element.querySelectorAll("img")) pictures.drop(picture);
    element.remove();
    drawn.delete(row);
  }

  /** @param {Element} element */
  function topOf(element) {
    for (const [row, other] of drawn) if (other === element) return row.top;
    return 0;
  }

  /**
   * A row's element, in the document before `next`: the order there is that of the log.
   * @param {Row} row @param {Element|null} next
   */
  function place(row, next) {
    const known = drawn.get(row);
    if (known) return known;
    const element = rowElement(row);
    drawn.set(row, element);
    return roll.insertBefore(element, next);
  }

  /** Brings the document up to what is near the screen. */
  function render() {
    asked = 0;
    const box = roll.getBoundingClientRect();
    if (box.width === 0) return;
    const from = rowAt(-box.top - BEYOND_PX),
      to = rowAt(-box.top + innerHeight + BEYOND_PX);
    const held = document.activeElement instanceof HTMLElement ? document.activeElement.closest(".stretch") : null;
    const near = new Set(rows.slice(from, to + 1));
    for (const [row, element] of drawn) if (!near.has(row) && element !== held) take(row);
    /** @type {Element|null} */
    let next = held?.parentElement === roll && topOf(held) > (rows[to]?.top ?? 0) ? held : null;
    for (const row of [...near].reverse()) next = place(row, next);
    tellNight(rowAt(-box.top + 1));
    pictures.pump();
  }

  /** Tells which night the row at the top belongs to. @param {number} at its place */
  function tellNight(at) {
    const night = rows[at]?.night;
    if (night === nightAtTop) return;
    nightAtTop = night;
    acts.turned?.(night ?? null);
  }

  function later() {
    asked ||= requestAnimationFrame(render);
  }

  function onScroll() {
    const now = performance.now(),
      top = roll.getBoundingClientRect().top;
    const fast = now - lastTime < 200 && Math.abs(top - lastTop) > FAST_PX_MS * (now - lastTime);
    [lastTop, lastTime] = [top, now];
    clearTimeout(calm);
    pictures.hold(fast);
    if (fast) calm = window.setTimeout(() => pictures.hold(false), CALM_MS);
    later();
  }

  /* ---- laying out ---- */

  /** @param {number} id */
  const isUnrolled = (id) => all !== unrolled.has(id);

  /** The row by which the place on the screen is kept, and how far down its top stands. */
  function anchor() {
    const top = -roll.getBoundingClientRect().top,
      row = rows[rowAt(top)];
    return row && top > 0 ? { n: row.frames[0]?.n ?? firstOf(row.stretch), off: row.top - top } : null;
  }

  /** @param {Stretch} stretch */
  function firstOf(stretch) {
    return stretch.kind === "visit" || stretch.kind === "nobody" ? stretch.frames[0].n : -1;
  }

  function layOut() {
    const keep = anchor();
    for (const row of [...drawn.keys()]) take(row);
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    measures = measure(width, rem, shape);
    roll.classList.toggle("beside", measures.wide);
    roll.style.setProperty("--cell", `${measures.cell}px`);
    roll.style.setProperty("--picture", `${measures.picture}px`);
    const laid = rowsOf(log, measures, isUnrolled);
    rows = laid.rows;
    roll.style.height = `${laid.height}px`;
    rowOf = new Map(rows.flatMap((row) => row.frames.map((frame) => /** @type {[number, Row]} */ ([frame.n, row]))));
    if (!rowOf.has(current)) current = rowOf.keys().next().value ?? -1;
    const row = keep && (rowOf.get(keep.n) ?? rows.find((other) => firstOf(other.stretch) === keep.n));
    if (keep && row) scrollerOf(roll).scrollTop += roll.getBoundingClientRect().top + row.top - keep.off;
    render();
  }

  /** Brings a row onto the screen. @param {Row} row @param {boolean} [atTop] */
  function reveal(row, atTop = false) {
    const top = roll.getBoundingClientRect().top + row.top,
      margin = 4 * measures.rem;
    if (atTop) scrollerOf(roll).scrollTop += top - margin;
    else if (top < margin || top + row.height > innerHeight)
      scrollerOf(roll).scrollTop += top - Math.max(margin, innerHeight / 3);
    render();
  }

  /* ---- keys ---- */

  /** Goes to a frame, or to the nearest one shown. @param {number} wanted */
  function focusFrame(wanted) {
    let n = -1;
    for (const shown of rowOf.keys()) if (n < 0 || Math.abs(shown - wanted) < Math.abs(n - wanted)) n = shown;
    const row = rowOf.get(n);
    if (!row) return;
    roll.querySelector('.cell[tabindex="0"]')?.setAttribute("tabindex", "-1");
    current = n;
    reveal(row);
    const cell = roll.querySelector(`.cell[data-n="${n}"]`);
    cell?.setAttribute("tabindex", "0");
    if (cell instanceof HTMLElement) cell.focus({ preventScroll: true });
  }

  /** @param {number} step rows to go */
  function beside(step) {
    const row = rowOf.get(current);
    if (!row) return undefined;
    const column = row.frames.findIndex((frame) => frame.n === current);
    let at = rows.indexOf(row) + step;
    while (rows[at] && rows[at].frames.length === 0) at += step;
    const next = rows[at]?.frames;
    return next && next[Math.min(column, next.length - 1)].n;
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    if (
      event.ctrlKey ||
      event.altKey ||
      event.metaKey ||
      !(event.target instanceof Element) ||
      !event.target.closest(".cell")
    )
      return;
    const order = [...rowOf.keys()],
      at = order.indexOf(current);
    /** @type {Record<string, () => number|undefined>} */
    const ways = {
      ArrowRight: () => order[at + 1],
      ArrowLeft: () => order[at - 1],
      ArrowDown: () => beside(1),
      ArrowUp: () => beside(-1),
      Home: () => order[0],
      End: () => order.at(-1),
    };
    const way = ways[event.key];
    if (!way) return;
    event.preventDefault();
    const n = way();
    if (n !== undefined) focusFrame(n);
  }

  /** @param {MouseEvent} event */
  function onClick(event) {
    if (!(event.target instanceof Element)) return;
    const cell = event.target.closest(".cell"),
      button = event.target.closest(".unroll");
    if (cell instanceof HTMLElement) {
      current = Number(cell.dataset.n);
      acts.open(current);
    } else if (button instanceof HTMLElement) {
      const id = Number(button.dataset.id);
      if (!unrolled.delete(id)) unrolled.add(id);
      layOut();
      const again = roll.querySelector(`.unroll[data-id="${id}"]`);
      if (again instanceof HTMLElement) again.focus({ preventScroll: true });
    }
  }

  const watcher = new ResizeObserver(() => {
    if (Math.abs(roll.clientWidth - width) < 1) return;
    width = roll.clientWidth;
    if (width > 0) layOut();
  });
  roll.addEventListener("keydown", onKey);
  roll.addEventListener("click", onClick);
  document.addEventListener("scroll", onScroll, { capture: true, passive: true });
  addEventListener("resize", later);
  watcher.observe(roll);

  return {
    /** Shows a log. @param {Stretch[]} shownLog @param {boolean} unrollAll @param {number} [pictureShape] width over height */
    show(shownLog, unrollAll, pictureShape = shape) {
      if (unrollAll !== all) unrolled.clear();
      [log, all, shape] = [shownLog, unrollAll, pictureShape];
      width = roll.clientWidth;
      if (width > 0) layOut();
    },
    /** Numbers of the frames shown, in their order. */
    sequence: () => [...rowOf.keys()],
    focusFrame,
    /** @param {number|null} key */
    goToNight(key) {
      const row = rows.find(({ stretch }) => stretch.kind === "night" && stretch.night.key === key);
      if (row) reveal(row, true);
    },
    /** @param {string} words */
    goToHeading(words) {
      const row = rows.find(({ stretch }) => stretch.kind === "heading" && stretch.words === words);
      if (row) reveal(row, true);
    },
    close() {
      pictures.close();
      watcher.disconnect();
      document.removeEventListener("scroll", onScroll, { capture: true });
      removeEventListener("resize", later);
      clearTimeout(calm);
      cancelAnimationFrame(asked);
      roll.remove();
    },
  };
}
