// Another rider of the store is chosen: tell the server, then draw everything anew from the first page on.
// Sent from here and not by a form: without a referrer, browsers send forms as if from nowhere, and the guard
// lets nothing in that comes from nowhere.
(function () {
  "use strict";

  document.addEventListener("click", async function (event) {
    const press = event.target.closest("button.show-rider");
    if (!press) return;
    const body = new URLSearchParams({ rider: press.value });
    const answer = await fetch("/rider/switch", { method: "POST", body: body });
    if (answer.ok) window.location.assign("/");
  });
})();
