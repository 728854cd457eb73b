/* Bringing cards home, judging them and writing them out: short forms, and the progress of what the server is doing. */
import { make } from "./dom.js";
import { span } from "./card_book.js";
import { statusLine, wordsOf } from "./card_dom.js";

/** @typedef {import("./card_types.js").Http} Http */
/** @typedef {import("./card_types.js").KnownCards} KnownCards */

let fields = 0;

/** @param {string} words @param {Record<string, any>} about @param {string} [help] */
function field(words, about, help) {
  const id = `card-field-${++fields}`;
  const input = make("input", {
    id,
    autocomplete: "off",
    spellcheck: "false",
    "aria-describedby": help ? `${id}-help` : null,
    ...about,
  });
  const whole = make(
    "div",
    { class: "field" },
    make("label", { for: id }, words),
    input,
    help ? make("p", { id: `${id}-help`, class: "help" }, help) : null,
  );
  return { input, whole };
}

/** What is under way: told by the server's events. @param {Http} http */
export function jobLine(http) {
  const bar = make("progress", { max: 1, "aria-label": "Progress" }),
    words = make("span", {});
  const said = statusLine();
  const stop = make("button", { type: "button", onclick: () => void halt() }, "Stop");
  const running = make("div", { class: "running", hidden: true }, bar, words, stop);
  const halt = async () => {
    try {
      await http.postJson("/api/stop", {});
    } catch (error) {
      said.textContent = wordsOf(error);
    }
  };
  const element = make("div", { class: "job" }, running, said);
  return {
    element,
    said,
    /** @param {import("./card_types.js").Progress} progress */
    progress({ doing, done, all, left_s }) {
      running.hidden = false;
      if (all > 0) bar.value = done / all;
      else bar.removeAttribute("value");
      const left = left_s === null ? "" : `; about ${span(left_s)} left`;
      words.textContent = `${doing}${all > 0 ? ` ${done} of ${all}` : ""}${left}`;
    },
    /** @param {string} told */
    end(told) {
      running.hidden = true;
      said.textContent = told;
    },
  };
}

/** @param {Http} http @param {string} path @param {object} body @param {ReturnType<typeof jobLine>} line @param {string} words */
async function begin(http, path, body, line, words) {
  line.said.textContent = words;
  try {
    await http.postJson(path, body);
  } catch (error) {
    line.end(wordsOf(error));
  }
}

/** @param {HTMLInputElement} input */
const given = (input) => input.value.trim() || null;

/** @param {Http} http @param {ReturnType<typeof jobLine>} line */
export function pullForm(http, line) {
  const card = field("The card's folder", { name: "card", required: true }, "Only read, never written to.");
  const to = field("Bring it to", { name: "to", required: true }, "A folder; what is there already stays as it is.");
  const names = make("datalist", { id: "card-watches" });
  const watch = field("Of the watch", { name: "watch", list: "card-watches" }, "May be left empty.");
  const element = make(
    "form",
    {
      onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        void begin(
          http,
          "/api/pull",
          { card: given(card.input), to: given(to.input), watch: given(watch.input) },
          line,
          "Pulling the card.",
        );
      },
    },
    card.whole,
    to.whole,
    watch.whole,
    names,
    make("button", {}, "Pull"),
  );
  return {
    element,
    /** @param {string[]} watches */
    offer: (watches) => names.replaceChildren(...watches.map((value) => make("option", { value }))),
  };
}

/** @param {Http} http @param {ReturnType<typeof jobLine>} line */
export function judgeForm(http, line) {
  const folder = field("The folder of frames", { name: "folder", required: true });
  const flashes = field(
    "Flashes of the rig",
    { name: "flashes", type: "number", min: 0, max: 99, inputmode: "numeric" },
    "Left empty, the plan of its watch tells.",
  );
  const again = make("input", { type: "checkbox", name: "again" });
  const element = make(
    "form",
    {
      onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        const count = flashes.input.value === "" ? null : Number(flashes.input.value);
        void begin(
          http,
          "/api/judge",
          { folder: given(folder.input), flashes: count, again: again.checked },
          line,
          "Judging the frames.",
        );
      },
    },
    folder.whole,
    flashes.whole,
    make("label", { class: "check" }, again, " judge anew, your own words kept"),
    make("button", {}, "Judge"),
  );
  return { element };
}

/** The cards the book knows. @param {Http} http @param {ReturnType<typeof jobLine>} line */
export function knownCards(http, line) {
  const element = make("ul", { class: "known" });
  return {
    element,
    /** @param {KnownCards} known @param {string|null} open the folder that is open */
    show({ cards }, open) {
      element.replaceChildren(
        ...cards.map(({ folder, watch, frames, judged }) =>
          make(
            "li",
            {},
            make(
              "span",
              {},
              make("b", {}, watch ?? folder),
              watch ? ` ${folder}` : "",
              frames || judged ? `, ${frames} ${frames === 1 ? "frame" : "frames"}` : "",
              judged ? "" : ", not judged yet",
            ),
            folder === open
              ? make("i", {}, "open")
              : make(
                  "button",
                  {
                    type: "button",
                    "aria-label": `${judged ? "Open" : "Judge"} ${watch ?? folder}`,
                    onclick: () =>
                      void begin(
                        http,
                        "/api/judge",
                        { folder, flashes: null, again: false },
                        line,
                        judged ? `Opening ${folder}.` : `Judging ${folder}.`,
                      ),
                  },
                  judged ? "Open" : "Judge",
                ),
          ),
        ),
      );
      element.hidden = cards.length === 0;
    },
  };
}

/** Sidecars and the contact sheet. @param {Http} http */
export function writeOut(http) {
  const said = statusLine();
  const file = field(
    "A new page",
    { name: "file", required: true },
    "Visits and their best frames on one page that needs nothing else.",
  );
  /** @param {string} path @param {object} body @param {string} words @param {HTMLButtonElement} button */
  const write = async (path, body, words, button) => {
    said.textContent = words;
    button.disabled = true;
    try {
      said.textContent = (await http.postJson(path, body)).words;
    } catch (error) {
      said.textContent = wordsOf(error);
    }
    button.disabled = false;
  };
  const sidecars = make(
    "button",
    { type: "button", onclick: () => write("/api/sidecars", {}, "Writing sidecars.", sidecars) },
    "Write sidecars",
  );
  const contact = make("button", {}, "Print the contact sheet");
  const element = make(
    "div",
    { class: "write-out" },
    make(
      "p",
      { class: "help" },
      "Sidecars are small files beside the copies, with verdict and rating, as raw developers read them. " +
        "None that is there is written over.",
    ),
    sidecars,
    make(
      "form",
      {
        onsubmit: (/** @type {Event} */ event) => {
          event.preventDefault();
          void write("/api/contact", { file: given(file.input) }, "Printing the contact sheet.", contact);
        },
      },
      file.whole,
      contact,
    ),
    said,
  );
  return {
    element,
    /** @param {string} folder */
    suggest: (folder) => {
      file.input.value ||= `${folder.replace(/\/+$/, "")}-contact.html`;
    },
  };
}
