// Into the demo and out of it: the server opens a store of simulated sessions, then every page shows that one.
(function () {
  "use strict";

  const POLL_MS = 400;
  const KEPT = "rideready.demo";

  async function post(path) {
    return fetch("/demo/" + path, { method: "POST" });
  }

  // Which store this page shows. A tab that shows the other one must be drawn anew before anything is
  // pressed in it: the browser's requests all go to one of the two.
  let mine = null;
  function tell(shown) {
    mine = shown;
    try {
      localStorage.setItem(KEPT, shown);
    } catch (error) {
      /* private window: a tab is drawn anew when one comes back to it */
    }
  }
  window.addEventListener("storage", function (event) {
    if (event.key === KEPT && mine !== null && event.newValue !== mine) window.location.assign("/");
  });
  window.addEventListener("load", async function () {
    const answer = await fetch("/demo/state");
    if (answer.ok) tell((await answer.json()).is_entered ? "demo" : "own");
  });

  function go(shown, place) {
    tell(shown);
    window.location.assign(place);
  }

  async function open(press) {
    const said = document.getElementById("demo-said");
    press.disabled = true;
    try {
      let state = await (await post("open")).json();
      while (!state.is_ready && !state.is_broken) {
        said.textContent = state.said;
        await new Promise((resolve) => setTimeout(resolve, POLL_MS));
        state = await (await fetch("/demo/state")).json();
      }
      said.textContent = state.is_broken ? state.said : "";
      if (state.is_ready && (await post("enter")).ok) return go("demo", "/");
    } catch (error) {
      said.textContent = said.dataset.unsent;
    }
    press.disabled = false;
  }

  document.addEventListener("click", async function (event) {
    const press = event.target.closest("#demo-open, #demo-leave");
    if (!press) return;
    if (press.id === "demo-open") open(press);
    else if ((await post("leave")).ok) go("own", "/start/files");
  });
})();
