/* The small pictures of the gallery: a few at a time, nearest first, and none for what has been scrolled past. */

const AT_ONCE = 3; /* the server has one hand for pictures; more would only queue there, where nothing can be called off */

/**
 * The loader. `middle` tells where the eye is, in the same measure as the places given to `want`.
 * @param {() => number} middle
 */
export function smallPictures(middle) {
  /** @type {Map<HTMLImageElement, {path: string, place: number}>} */
  const waiting = new Map();
  /** @type {Set<HTMLImageElement>} */
  const loading = new Set();
  let held = false;

  /** @param {HTMLImageElement} picture @param {boolean} came */
  function settle(picture, came) {
    if (!loading.delete(picture)) return;
    picture.classList.toggle("came", came);
    picture.parentElement?.classList.toggle("lost", !came);
    pump();
  }

  function nearest() {
    const at = middle();
    let best = null,
      least = Infinity;
    for (const [picture, { place }] of waiting)
      if (Math.abs(place - at) < least) [best, least] = [picture, Math.abs(place - at)];
    return best;
  }

  function pump() {
    while (!held && loading.size < AT_ONCE && waiting.size > 0) {
      const picture = /** @type {HTMLImageElement} */ (nearest());
      const path = /** @type {{path: string}} */ (waiting.get(picture)).path;
      waiting.delete(picture);
      loading.add(picture);
      picture.onload = () => settle(picture, true);
      picture.onerror = () => settle(picture, false);
      picture.src = path;
    }
  }

  return {
    /** @param {HTMLImageElement} picture @param {string} path @param {number} place */
    want(picture, path, place) {
      waiting.set(picture, { path, place });
    },
    /** Gives up a picture that has left; one under way is called off. @param {HTMLImageElement} picture */
    drop(picture) {
      waiting.delete(picture);
      if (!loading.delete(picture)) return;
      picture.onload = picture.onerror = null;
      picture.removeAttribute("src");
    },
    /** While held, nothing new is begun. @param {boolean} hold */
    hold(hold) {
      held = hold;
      pump();
    },
    pump,
    close() {
      held = true;
      for (const picture of [...waiting.keys(), ...loading]) this.drop(picture);
    },
  };
}
