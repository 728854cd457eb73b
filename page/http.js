/* What the page asks of its own server; nothing else is ever asked. */

/** An answer that says no, with the server's words. */
export class Refusal extends Error {
  /** @param {number} status @param {string} words @param {any} body */
  constructor(status, words, body) {
    super(words);
    this.status = status;
    this.body = body;
  }
}

/** @param {Response} response @returns {Promise<Response>} */
async function accepted(response) {
  if (response.ok) return response;
  let body = null;
  try {
    body = await response.json();
  } catch {
    /* not every refusal has words */
  }
  throw new Refusal(response.status, body?.error ?? `the server answered ${response.status}`, body);
}

/** @param {string} path @param {RequestInit} [how] @returns {Promise<Response>} */
async function ask(path, how) {
  let response;
  try {
    response = await fetch(path, { mode: "cors", credentials: "same-origin", ...how });
  } catch {
    throw new Refusal(0, "the program behind this page does not answer: is it still running?", null);
  }
  return accepted(response);
}

/** @param {any} body @returns {RequestInit} */
function posting(body) {
  return { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
}

/** @param {string} path @returns {Promise<any>} */
export async function getJson(path) {
  return (await ask(path)).json();
}

/** @param {string} path @returns {Promise<string>} */
export async function getText(path) {
  return (await ask(path)).text();
}

/** The answer's JSON, or null where it has no body. @param {string} path @param {any} body @returns {Promise<any>} */
export async function postJson(path, body) {
  const text = await (await ask(path, posting(body))).text();
  return text ? JSON.parse(text) : null;
}

/** @param {string} path @param {any} body @returns {Promise<Uint8Array>} */
export async function postForBytes(path, body) {
  return new Uint8Array(await (await ask(path, posting(body))).arrayBuffer());
}

/**
 * Listens to the server's events until the function given back is called.
 * @param {Record<string, (data: any) => void>} on by the event's name
 * @returns {() => void}
 */
export function listen(on) {
  const source = new EventSource("/api/events");
  for (const [name, act] of Object.entries(on))
    source.addEventListener(name, (event) => act(JSON.parse(/** @type {MessageEvent} */ (event).data)));
  return () => source.close();
}
