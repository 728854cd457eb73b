/* One frame as large as the screen allows, with its verdict, how that came about, and the user's own word on it. */
import { make } from "./dom.js";
import { cropLines, wordsOf } from "./card_dom.js";
import { clock, day, shows } from "./card_book.js";

/** @typedef {import("./card_types.js").Frame} Frame */

/** The words a user may give and the key for each: their first letters, which no two share. */
const WORDS = [
  { key: "s", verdict: "subject", means: "somebody is there" },
  { key: "l", verdict: "look", means: "not sure" },
  { key: "e", verdict: "empty", means: "nobody is there" },
  { key: "f", verdict: "flash failed", means: "too dark to tell" },
  { key: "c", verdict: "can't judge", means: "damaged" },
];

/** @param {string} words @param {string} key as shown @param {() => void} act @param {Record<string, any>} [more] */
function keyed(words, key, act, more = {}) {
  return make("button", { type: "button", onclick: act, ...more }, words, " ", make("kbd", {}, key));
}

/**
 * The large view. `frame` gives a frame by its number; `correct` sends the user's word and resolves to what the ledger did, in
 * words; `closed` is told the frame last looked at.
 * @param {import("./card_types.js").Http} http
 * @param {{frame: (n: number) => Frame, means: (row: string) => string, correct: (n: number, verdict: string) => Promise<string>,
 *   closed: (n: number) => void}} acts
 */
export function frameView(http, acts) {
  /** @type {number[]} */
  let order = [];
  let at = 0,
    lines = true,
    asked = 0;
  /** The words taken over, to be given back. @type {{n: number, verdict: string}[]} */
  const earlier = [];

  const title = make("h2", { id: "frame-title", tabindex: -1 });
  const small = make("img", { class: "before", alt: "" }),
    large = make("img", { class: "large", alt: "" });
  const print = make("div", { class: "print" }, small, large);
  const edge = make("p", { class: "edge" }),
    said = make("p", { class: "said", role: "status" });
  const about = make("dl", { class: "about" });
  const working = make("pre", { tabindex: 0, "aria-label": "How the verdict came about" });
  const worked = make(
    "details",
    { class: "worked", ontoggle: showWorking },
    make("summary", {}, "The working ", make("kbd", {}, "W")),
    working,
  );
  const verdicts = WORDS.map(({ key, verdict, means }) =>
    keyed(verdict, key.toUpperCase(), () => give(verdict), {
      "aria-pressed": "false",
      title: means,
      "data-verdict": verdict,
    }),
  );
  const back = keyed("take it back", "Z", takeBack, { disabled: true });
  const before = keyed("frame before", "←", () => go(-1)),
    after = keyed("next frame", "→", () => go(1));
  const visitBefore = keyed("visit before", "⇧ ←", () => goVisit(-1)),
    visitAfter = keyed("next visit", "⇧ →", () => goVisit(1));
  const unsure = keyed("next one not sure", "N", nextUnsure),
    ruler = keyed("lines", "R", rule, { "aria-pressed": "true" });
  const dialog = make(
    "dialog",
    { class: "enlarger", "aria-labelledby": "frame-title", onkeydown: onKey, onclose: onClose },
    make("div", { class: "bench" }, make("div", { class: "film" }, edge, print)),
    make(
      "div",
      { class: "note" },
      make(
        "div",
        { class: "note-top" },
        title,
        keyed("put it down", "Esc", () => dialog.close()),
      ),
      about,
      make("fieldset", {}, make("legend", {}, "Your word on it"), make("div", { class: "words" }, ...verdicts, back)),
      said,
      make(
        "div",
        { class: "turn", role: "group", "aria-label": "Other frames" },
        before,
        after,
        visitBefore,
        visitAfter,
        unsure,
        ruler,
      ),
      worked,
    ),
  );

  const now = () => acts.frame(order[at]);

  /* ---- showing ---- */

  function show() {
    const frame = now();
    title.textContent = `Frame ${frame.n + 1}`;
    showPicture(frame);
    showVerdict();
    before.disabled = at === 0;
    after.disabled = at === order.length - 1;
    visitBefore.disabled = visitStep(-1) === null;
    visitAfter.disabled = visitStep(1) === null;
    unsure.disabled = unsureStep() === null;
    working.textContent = "";
    if (worked.open) showWorking();
  }

  /** The small picture stands in until the large one is there. @param {Frame} frame */
  function showPicture(frame) {
    const turn = ++asked;
    print.classList.remove("lost");
    print.style.setProperty("--shape", String((frame.width || 3) / (frame.height || 2)));
    large.classList.remove("came");
    large.removeAttribute("src");
    small.src = `/api/small/${frame.n}`;
    large.onload = () => {
      large.classList.add("came");
      if (turn === asked && at + 1 < order.length) new Image().src = `/api/frame/${order[at + 1]}`;
    };
    large.onerror = () => print.classList.add("lost");
    large.src = `/api/frame/${frame.n}`;
    large.alt = `${frame.name}: ${frame.verdict}`;
  }

  function showVerdict() {
    const frame = now();
    edge.replaceChildren(
      make("b", {}, String(frame.n + 1)),
      make("span", {}, frame.name),
      make("span", {}, frame.taken === null ? "no time" : `${day(frame.taken)}  ${clock(frame.taken)}`),
    );
    print.querySelector(".crop")?.remove();
    const drawn = shows(frame) && lines ? cropLines(frame) : null;
    if (drawn) print.append(drawn);
    /** @type {[string, string][]} */
    const facts = [["verdict", frame.corrected ? `${frame.verdict}, by your word` : frame.verdict]];
    if (frame.row)
      facts.push(["ends as", frame.row === frame.verdict ? frame.row : `${frame.row}: ${acts.means(frame.row)}`]);
    if (frame.remarks) facts.push(["remarks", frame.remarks]);
    if (frame.visit !== null) facts.push(["visit", `${frame.visit}${frame.best ? ", its best frame" : ""}`]);
    facts.push(["flashes", frame.flash]);
    if (frame.score !== null) facts.push(["score", String(Math.round(frame.score))]);
    about.replaceChildren(...facts.flatMap(([name, words]) => [make("dt", {}, name), make("dd", {}, words)]));
    for (const button of verdicts)
      button.setAttribute("aria-pressed", String(button.dataset.verdict === frame.verdict));
    back.disabled = earlier.length === 0;
  }

  async function showWorking() {
    if (!worked.open || working.textContent) return;
    const turn = asked;
    try {
      const words = await http.getText(`/api/working/${order[at]}`);
      if (turn === asked) working.textContent = words;
    } catch (error) {
      working.textContent = wordsOf(error);
    }
  }

  /* ---- going on ---- */

  /** @param {number|null} place */
  function goTo(place) {
    if (place === null || place < 0 || place >= order.length || place === at) return;
    at = place;
    said.textContent = "";
    show();
    said.textContent = `Frame ${order[at] + 1}: ${now().verdict}${now().remarks ? `, ${now().remarks}` : ""}`;
  }

  /** @param {number} step */
  const go = (step) => goTo(at + step);

  /** The place of the first frame of another visit; null: there is none. @param {number} step */
  function visitStep(step) {
    const here = now().visit;
    for (let i = at + step; i >= 0 && i < order.length; i += step) {
      const visit = acts.frame(order[i]).visit;
      if (visit === null || visit === here) continue;
      while (i > 0 && acts.frame(order[i - 1]).visit === visit) i--;
      return i;
    }
    return null;
  }

  /** @param {number} step */
  const goVisit = (step) => goTo(visitStep(step));

  /** The next frame the judge was not sure of and the user has not spoken on, from here on and then from the beginning. */
  function unsureStep() {
    for (let i = 1; i < order.length; i++) {
      const place = (at + i) % order.length,
        frame = acts.frame(order[place]);
      if (frame.verdict === "look" && !frame.corrected) return place;
    }
    return null;
  }

  function nextUnsure() {
    goTo(unsureStep());
  }

  function rule() {
    lines = !lines;
    ruler.setAttribute("aria-pressed", String(lines));
    showVerdict();
  }

  /* ---- the user's word ---- */

  /** @param {string} verdict */
  function give(verdict) {
    const frame = now();
    if (frame.verdict === verdict && frame.corrected) return;
    earlier.push({ n: frame.n, verdict: frame.verdict });
    void send(frame.n, verdict);
  }

  function takeBack() {
    const last = earlier.pop();
    if (!last) return;
    const place = order.indexOf(last.n);
    if (place >= 0) goTo(place);
    void send(last.n, last.verdict);
  }

  /** @param {number} n @param {string} verdict */
  async function send(n, verdict) {
    try {
      const moved = await acts.correct(n, verdict);
      said.textContent = `Frame ${n + 1} is ${verdict} now. ${moved}`;
    } catch (error) {
      said.textContent = `Your word on frame ${n + 1} was not kept: ${wordsOf(error)}`;
    }
    if (!dialog.open) return;
    showVerdict();
    working.textContent = "";
    void showWorking();
  }

  /* ---- keys ---- */

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const key = event.key.toLowerCase(),
      word = WORDS.find((other) => other.key === key);
    /** @type {Record<string, () => void>} */
    const ways = {
      arrowright: () => (event.shiftKey ? goVisit(1) : go(1)),
      arrowleft: () => (event.shiftKey ? goVisit(-1) : go(-1)),
      n: nextUnsure,
      r: rule,
      z: takeBack,
      w: () => {
        worked.open = !worked.open;
      },
    };
    const act = word ? () => give(word.verdict) : ways[key];
    if (!act || (event.repeat && word)) return;
    event.preventDefault();
    act();
  }

  function onClose() {
    asked++;
    large.removeAttribute("src");
    earlier.length = 0;
    acts.closed(order[at]);
  }

  return {
    element: dialog,
    /** @param {number} n @param {number[]} sequence the frames next to it, in the order to be turned over in */
    open(n, sequence) {
      order = sequence.includes(n) ? sequence : [n];
      at = order.indexOf(n);
      said.textContent = "";
      dialog.showModal();
      show();
      title.focus();
    },
    close() {
      if (dialog.open) dialog.close();
      dialog.remove();
    },
  };
}
