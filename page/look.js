/* Sets the look before anything is painted, so that a night screen never flashes white. Runs as a plain script in the head. */
(() => {
  try {
    const look = localStorage.getItem("owllight.look");
    if (look === "light" || look === "dark" || look === "night") document.documentElement.dataset.look = look;
  } catch {
    /* a browser that keeps nothing follows the system */
  }
})();
