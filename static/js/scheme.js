/* Applies the remembered colour scheme before the page is painted. Loaded in <head> without defer for that reason. */
(function () {
  "use strict";
  try {
    const scheme = window.localStorage.getItem("counterpoise-scheme");
    if (scheme === "day" || scheme === "night") {
      document.documentElement.setAttribute("data-scheme", scheme);
    }
  } catch (error) {
    /* Storage may be forbidden; the system's own scheme then holds. */
  }
})();
