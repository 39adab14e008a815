// Two tabs stay consistent: whoever comes back to one sees what was changed from another, and a page that is
// left open over midnight shows the new day.
(function () {
  "use strict";

  const DAY_POLL_MS = 60000;
  let token = null; // what the store looked like when this page was drawn
  let day = null;

  async function ask() {
    try {
      const answer = await fetch("/import/state?after=" + Number.MAX_SAFE_INTEGER);
      if (answer.status === 409) window.location.reload(); // a page of a demo that was closed
      return answer.ok ? await answer.json() : null;
    } catch (error) {
      return null; // the dashboard was stopped; the next press on the page will say so
    }
  }

  async function note() {
    const now = await ask();
    if (now) [token, day] = [now.token, now.day];
  }

  async function redraw() {
    window.dash_clientside.set_props("address", { pathname: window.location.pathname });
    await note();
  }

  // A circuit that is followed and a test that is timed go on; what changed shows when they are over.
  const isRunning = () => document.querySelector("main [data-state=running]") !== null;

  // The page is drawn anew where nobody is writing into it; else there is a press for it.
  function showAnew() {
    const field = document.activeElement;
    const isWriting = field && field.closest("main") && field.matches("input:not([readonly]), textarea");
    if (isWriting) window.ridereadyTold.offer(redraw);
    else redraw();
  }

  async function look() {
    if (document.visibilityState !== "visible" || token === null || isRunning()) return;
    const now = await ask();
    if (!now || now.token === token) return;
    [token, day] = [now.token, now.day];
    showAnew();
  }

  async function lookForMidnight() {
    if (document.visibilityState !== "visible" || day === null || isRunning()) return;
    const now = await ask();
    if (now && now.day !== day) look();
  }

  document.addEventListener("visibilitychange", look);
  window.addEventListener("focus", look); // two windows side by side are visible both
  window.addEventListener("load", note);
  window.setInterval(lookForMidnight, DAY_POLL_MS);
  window.ridereadyWatch = { showAnew };
})();
