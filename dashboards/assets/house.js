// What the browser does alone: colours of figures, arrow keys, the tab's title, names for nameless inputs.
(function () {
  "use strict";

  // Light colour -> dark colour, written into the page by the server (theme.py).
  let partners = null;
  function darkPartners() {
    if (partners === null) {
      const held = document.getElementById("dark-partners");
      partners = held ? JSON.parse(held.textContent) : {};
    }
    return partners;
  }

  // A copy of a figure with every colour of ours swapped. Typed data ({dtype, bdata}) is passed on untouched.
  function swapped(value, table) {
    if (typeof value === "string") {
      return Object.prototype.hasOwnProperty.call(table, value) ? table[value] : value;
    }
    if (Array.isArray(value)) {
      return typeof value[0] === "number" ? value : value.map((item) => swapped(item, table));
    }
    if (value !== null && typeof value === "object") {
      if ("bdata" in value) return value;
      const copy = {};
      for (const name of Object.keys(value)) copy[name] = swapped(value[name], table);
      return copy;
    }
    return value;
  }

  function scheme() {
    return document.documentElement.getAttribute("data-mantine-color-scheme");
  }

  function reducedMotion() {
    return window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  }

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.rideready = {
    // Hand a figure to its graph in the colours of the theme on screen.
    // The theme is read off the root element: the switch names it only once it was pressed.
    inTheme: function (figure) {
      if (!figure) return window.dash_clientside.no_update;
      const drawn = swapped(figure, scheme() === "dark" ? darkPartners() : {});
      // Under a finger a drag must scroll the page and not draw an area.
      if (drawn.layout && window.matchMedia("(pointer: coarse)").matches) {
        drawn.layout = Object.assign({}, drawn.layout, { dragmode: false });
      }
      return drawn;
    },

    // A mark was clicked: open its recovery. The click is forgotten at once, so that a second one counts again.
    openClicked: function (click) {
      const keep = window.dash_clientside.no_update;
      const key = click && click.points[0].customdata;
      if (!key) return [keep, keep];
      return [(window.location.pathname === "/recovery" ? "#" : "/recovery#") + key, null];
    },

    // The address tries another opening window: move slider and dates there.
    followWindow: function (search, kept) {
      const tried = new URLSearchParams(search || "");
      const days = ["earliest", "likely"].map((name, place) => tried.get(name) || kept[place]);
      const moved = Math.round((Date.parse(days[0]) - Date.parse(kept[0])) / 86400000);
      return Number.isFinite(moved) ? [moved, ...days] : [0, ...kept];
    },

    // A page has arrived: name the tab, mark its link, tell the style sheets which it is, read at its top.
    arrive: function (title, pathname) {
      if (title) document.title = title;
      document.body.dataset.page = pathname || "";
      for (const link of document.querySelectorAll("nav a[id^='nav-']")) {
        const way = link.getAttribute("href");
        const here = pathname === way || (way !== "/" && (pathname || "").startsWith(way + "/"));
        if (here) link.setAttribute("aria-current", "page");
        else link.removeAttribute("aria-current");
      }
      closeMore(null);
      return window.dash_clientside.no_update;
    },
  };

  // The folded ways to the lesser pages close when something else is touched, or with Escape.
  function closeMore(touched) {
    const more = document.querySelector("nav details.more");
    if (more && more.open && !(touched && more.contains(touched))) more.open = false;
  }
  document.addEventListener("pointerdown", (event) => closeMore(event.target));
  document.addEventListener("keydown", function (event) {
    if (event.key === "Escape") closeMore(null);
  });

  // A press anywhere on a page that opens the chooser of the bar.
  document.addEventListener("click", function (event) {
    const way = event.target.closest(".opens-import") && document.getElementById("import-open");
    if (way) way.click();
  });

  // Left and right open the neighbouring recovery while the season's figure has the focus.
  document.addEventListener("keydown", function (event) {
    if (event.key !== "ArrowLeft" && event.key !== "ArrowRight") return;
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const place = document.activeElement;
    if (!place || !place.closest(".arrow-keys")) return;
    const link = document.getElementById(event.key === "ArrowLeft" ? "step-earlier" : "step-later");
    if (link) {
      event.preventDefault();
      link.click();
    }
  });

  // On a narrow screen the opened curve lies below the figure: bring it into view once it is asked for.
  window.addEventListener("popstate", revealOpened);
  window.addEventListener("_dashprivate_pushstate", revealOpened);
  function revealOpened() {
    if (!/^#\d+\.\d+$/.test(window.location.hash) || window.innerWidth > 900) return;
    const opened = document.getElementById("recovery-opened");
    if (!opened || opened.contains(document.activeElement)) return;
    opened.scrollIntoView({ behavior: reducedMotion() ? "auto" : "smooth", block: "start" });
  }

  // Dash leaves the hidden file input of an upload without a name for screen readers.
  new MutationObserver(function () {
    for (const input of document.querySelectorAll('input[type="file"]:not([aria-label])')) {
      input.setAttribute("aria-label", "Recordings to import");
    }
  }).observe(document.documentElement, { childList: true, subtree: true });
})();
