// Keeping the screen on while something runs: a circuit that is followed, a field test's timer.
(function () {
  "use strict";

  // Keep the screen on while something runs; `tell` is called with whether that worked.
  window.ridereadyAwake = (function () {
    let lock = null;
    let wanted = null;
    async function ask() {
      if (!wanted || document.visibilityState !== "visible") return;
      if (!("wakeLock" in navigator)) return wanted(false);
      try {
        lock = await navigator.wakeLock.request("screen");
        if (!wanted) lock.release();
        else wanted(true);
      } catch (error) {
        if (wanted) wanted(false); // low battery, or the browser's settings
      }
    }
    document.addEventListener("visibilitychange", ask); // the browser lets go whenever the page is hidden
    return {
      hold: function (tell) {
        wanted = tell;
        ask();
      },
      release: function () {
        wanted = null;
        if (lock) lock.release().catch(function () {});
        lock = null;
      },
    };
  })();
})();
