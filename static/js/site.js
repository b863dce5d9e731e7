/* Small helps for every page: scheme switch, loading and error sentences, focus after a swap, keys for choices,
   sources unfolded in a wide margin. Everything works without this file, only less conveniently. */
(function () {
  "use strict";

  const STORAGE_KEY = "counterpoise-scheme";
  const PANEL_ID = "question-panel";
  const wideMargin = window.matchMedia("(min-width: 1100px)");
  const systemNight = window.matchMedia("(prefers-color-scheme: dark)");

  /* ---- Day and night ---- */

  function currentScheme() {
    const chosen = document.documentElement.getAttribute("data-scheme");
    if (chosen === "day" || chosen === "night") {
      return chosen;
    }
    return systemNight.matches ? "night" : "day";
  }

  function labelSwitches() {
    const other = currentScheme() === "night" ? "Day" : "Night";
    document.querySelectorAll("[data-scheme-switch]").forEach(function (button) {
      button.textContent = other + " page";
      button.hidden = false;
    });
  }

  function switchScheme() {
    const next = currentScheme() === "night" ? "day" : "night";
    document.documentElement.setAttribute("data-scheme", next);
    try {
      window.localStorage.setItem(STORAGE_KEY, next);
    } catch (error) {
      /* Not remembered where storage is forbidden; the page still changes. */
    }
    labelSwitches();
  }

  /* ---- Loading, errors ---- */

  function say(sentence) {
    const region = document.getElementById("live-status");
    if (region) {
      region.textContent = sentence;
    }
  }

  function sentenceFor(status) {
    if (status === 401 || status === 403) {
      return "The server refused this. Reload the page; if you were logged out, log in again, then repeat the step.";
    }
    if (status === 404) {
      return "What you asked for is no longer here. Reload the page to see what there is now.";
    }
    if (status === 409) {
      return "This was already answered. Reload the page to see where you stand.";
    }
    if (status === 429) {
      return "Too many requests in a short time. Wait a minute, then try again.";
    }
    if (status >= 500) {
      return "The server failed, so this may not have been saved. Reload the page to see where you stand, then try again.";
    }
    return "The server did not accept this. Check what you entered, or reload the page and try again.";
  }

  function setBusy(event, busy) {
    const target = event.detail && event.detail.target;
    if (!target || !target.setAttribute) {
      return;
    }
    if (busy) {
      target.setAttribute("aria-busy", "true");
    } else {
      target.removeAttribute("aria-busy");
    }
  }

  document.addEventListener("htmx:beforeRequest", function (event) {
    say("");
    setBusy(event, true);
  });
  document.addEventListener("htmx:afterRequest", function (event) {
    setBusy(event, false);
  });
  document.addEventListener("htmx:responseError", function (event) {
    say(sentenceFor(event.detail.xhr ? event.detail.xhr.status : 0));
  });
  document.addEventListener("htmx:sendError", function () {
    say("The server could not be reached. Check your connection, then press the button again.");
  });
  document.addEventListener("htmx:timeout", function () {
    say("The server took too long, so this may not have been saved. Reload the page to see where you stand.");
  });

  /* ---- Focus after a swap ---- */

  document.addEventListener("htmx:afterSettle", function (event) {
    unfoldNotes();
    const target = event.detail && event.detail.target;
    if (!target || target.id !== PANEL_ID) {
      return;
    }
    const panel = document.getElementById(PANEL_ID);
    const heading = panel && panel.querySelector("[data-focus]");
    /* Somebody quick may have chosen already: then the focus is where it belongs. */
    if (heading && !panel.contains(document.activeElement)) {
      heading.setAttribute("tabindex", "-1");
      heading.focus();
    }
  });

  /* The same page anew, because the form went out before htmx had hold of it: the focus goes where a swap would put it. */
  const anew = document.querySelector("#" + PANEL_ID + " [data-focus]");
  if (anew && document.referrer === window.location.href && document.activeElement === document.body) {
    anew.setAttribute("tabindex", "-1");
    anew.focus();
  }

  /* ---- Keys for choices ---- */

  function isTyping(element) {
    if (!element) {
      return false;
    }
    if (element.isContentEditable || element.tagName === "TEXTAREA" || element.tagName === "SELECT") {
      return true;
    }
    return element.tagName === "INPUT" && !["radio", "checkbox", "button", "submit"].includes(element.type);
  }

  function openRadios(list) {
    return Array.from(list.querySelectorAll("input[type=radio]")).filter(function (radio) {
      return !radio.disabled && radio.getClientRects().length > 0;
    });
  }

  function choiceListFor(element) {
    const own = element && element.closest ? element.closest(".choices") : null;
    if (own) {
      return own;
    }
    const lists = Array.from(document.querySelectorAll(".choices")).filter(function (list) {
      return openRadios(list).length > 0;
    });
    return lists.find(function (list) {
      return !list.querySelector("input[type=radio]:checked");
    }) || lists[0] || null;
  }

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey || event.defaultPrevented) {
      return;
    }
    if (event.key === "Enter" && document.activeElement && document.activeElement.hasAttribute("data-focus")) {
      /* Focus on the question's heading: Enter sends the choice that is made, if one is. */
      const made = document.querySelector("#" + PANEL_ID + " .choices input[type=radio]:checked");
      if (made) {
        event.preventDefault();
        made.form.requestSubmit();
      }
      return;
    }
    if (!/^[1-9]$/.test(event.key) || isTyping(document.activeElement)) {
      return;
    }
    const list = choiceListFor(document.activeElement);
    const radio = list && openRadios(list)[Number(event.key) - 1];
    if (radio) {
      event.preventDefault();
      radio.focus();
      radio.click();
    }
  });

  /* ---- Margin notes ---- */

  function unfoldNotes() {
    document.querySelectorAll(".margin-note details").forEach(function (note) {
      if (!note.dataset.placed || note.dataset.placed !== String(wideMargin.matches)) {
        note.open = wideMargin.matches;
        note.dataset.placed = String(wideMargin.matches);
      }
    });
  }

  wideMargin.addEventListener("change", unfoldNotes);
  systemNight.addEventListener("change", labelSwitches);
  document.addEventListener("click", function (event) {
    if (event.target.closest && event.target.closest("[data-scheme-switch]")) {
      switchScheme();
    }
  });
  labelSwitches();
  unfoldNotes();
})();
