// Bringing files in: dropped on any page or chosen, sent one after the other as they are, and told about.
(function () {
  "use strict";

  const POLL_MS = 600;
  const lines = new Map(); // number of the file on the server -> its line on the page
  const known = { sent: 0, total: 0, stored: 0, duplicate: 0, unreadable: 0, revision: 0 };
  let asking = null; // the timer of the next question
  let isSending = false;
  const toSend = [];

  const place = () => document.getElementById("import-place");
  const told = () => JSON.parse(place().dataset.told);

  function worded(name, values) {
    const text = told().words[name];
    return text.replace(/\{(\w+)\}/g, (whole, key) => (key in values ? String(values[key]) : whole));
  }

  function made(tag, text, className) {
    const element = document.createElement(tag);
    if (text) element.textContent = text;
    if (className) element.className = className;
    return element;
  }

  // One line for each file: its name, how far it is, what became of it.
  function addLine(name) {
    const item = made("li");
    const head = made("span", name, "file-name");
    const state = made("span", "", "file-state");
    const bar = made("progress");
    bar.max = 100;
    bar.value = 0;
    bar.setAttribute("aria-label", name);
    item.append(head, state, bar, made("div", "", "file-more"));
    place().querySelector(".imports-lines").append(item);
    return item;
  }

  function setState(item, text, percent) {
    item.querySelector(".file-state").textContent = text;
    const bar = item.querySelector("progress");
    bar.hidden = percent === null;
    if (percent !== null) bar.value = percent;
  }

  function refused(item, sentence) {
    setState(item, worded("unreadable", {}), null);
    item.classList.add("refused");
    item.querySelector(".file-more").append(made("p", sentence));
    known.unreadable += 1;
    known.total += 1;
  }

  function show() {
    place().querySelector(".imports").classList.remove("closed");
    place().querySelector(".imports-sum").hidden = false;
  }

  function sum() {
    const done = known.stored + known.duplicate + known.unreadable;
    const isBusy = isSending || done < known.total;
    const values = { done: done, total: known.total, stored: known.stored };
    values.known = known.duplicate;
    values.refused = known.unreadable;
    place().querySelector(".imports-sum").textContent = worded(isBusy ? "busy" : "settled", values);
    return isBusy;
  }

  // Send what was dropped or chosen.
  function take(files) {
    if (files.length === 0) return;
    show();
    if (files.length > told().most) {
      const sentence = worded("too_many", { n: files.length, most: told().most });
      place().querySelector(".imports-sum").textContent = sentence;
      return;
    }
    for (const file of files) {
      const item = addLine(file.name);
      if (file.size > told().limit_mb * 1048576) {
        refused(item, worded("too_large", { limit_mb: told().limit_mb }));
      } else if (file.size === 0) {
        refused(item, worded("empty", {}));
      } else {
        known.total += 1;
        setState(item, worded("waiting", {}), 0);
        toSend.push({ file: file, item: item });
      }
    }
    sum();
    sendNext();
  }

  function sendNext() {
    if (isSending || toSend.length === 0) return;
    isSending = true;
    const next = toSend.shift();
    const request = new XMLHttpRequest();
    request.open("POST", "/import/file");
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("X-File-Name", encodeURIComponent(next.file.name));
    request.upload.addEventListener("progress", function (event) {
      const percent = event.total ? Math.round((100 * event.loaded) / event.total) : 0;
      setState(next.item, worded("sending", { percent: percent }), percent);
    });
    request.addEventListener("load", function () {
      if (request.status === 200) {
        lines.set(JSON.parse(request.responseText).number, next.item);
        setState(next.item, worded("waiting", {}), 100);
      } else {
        known.total -= 1;
        refused(next.item, request.responseText);
      }
      goOn();
    });
    request.addEventListener("error", function () {
      known.total -= 1;
      refused(next.item, worded("unsent", {}));
      goOn();
    });
    request.send(next.file);
  }

  function goOn() {
    isSending = false;
    sendNext();
    ask();
  }

  // Ask how far the server is, until everything is settled.
  function ask() {
    if (asking !== null) return;
    asking = window.setTimeout(async function () {
      asking = null;
      try {
        const answer = await fetch("/import/state?after=" + known.revision);
        if (answer.ok) receive(await answer.json());
      } catch (error) {
        place().querySelector(".imports-sum").textContent = worded("unsent", {});
      }
      if (sum()) ask();
      else showAnew();
    }, POLL_MS);
  }

  function receive(state) {
    known.revision = state.revision;
    for (const line of state.lines) {
      const item = lines.get(line.number);
      if (!item) continue;
      const more = item.querySelector(".file-more");
      more.replaceChildren();
      setState(item, line.state, line.is_done ? null : 100);
      item.classList.toggle("refused", line.outcome === "unreadable" || line.outcome === "choice");
      if (line.is_done) {
        count(item, line.outcome === "choice" ? "unreadable" : line.outcome);
        for (const link of line.links) more.append(wayTo(link));
        for (const sentence of line.said) more.append(made("p", sentence));
        for (const choice of line.choices) more.append(answerWith(line.number, choice));
      }
    }
  }

  function count(item, outcome) {
    if (item.dataset.counted) known[item.dataset.counted] -= 1;
    item.dataset.counted = outcome;
    if (outcome) known[outcome] += 1;
  }

  function wayTo(link) {
    const way = made("a", link.text);
    way.href = link.href;
    way.addEventListener("click", function (event) {
      if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return;
      event.preventDefault();
      window.dash_clientside.set_props("go-to", { href: link.href });
    });
    return way;
  }

  function answerWith(number, choice) {
    const press = made("button", choice.text, "press lesser");
    press.type = "button";
    press.addEventListener("click", async function () {
      const item = lines.get(number);
      count(item, "");
      delete item.dataset.counted;
      setState(item, worded("waiting", {}), 100);
      item.querySelector(".file-more").replaceChildren();
      const body = new URLSearchParams({ number: String(number), option: choice.option });
      await fetch("/import/answer", { method: "POST", body: body });
      ask();
    });
    return press;
  }

  // What was dropped may hold folders; they are walked through.
  async function filesOf(transfer) {
    const entries = [];
    for (const item of transfer.items || []) {
      const entry = item.webkitGetAsEntry && item.webkitGetAsEntry();
      if (entry) entries.push(entry);
    }
    if (entries.length === 0) return Array.from(transfer.files);
    const files = [];
    while (entries.length > 0) {
      const entry = entries.shift();
      if (entry.isFile) {
        files.push(await new Promise((resolve, reject) => entry.file(resolve, reject)));
      } else if (entry.isDirectory) {
        const reader = entry.createReader();
        for (;;) {
          // A folder is handed out a hundred entries at a time.
          const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
          if (some.length === 0) break;
          entries.push(...some);
        }
      }
    }
    return files.filter((file) => !file.name.startsWith("."));
  }

  const bringsFiles = (event) => event.dataTransfer && Array.from(event.dataTransfer.types).includes("Files");

  document.addEventListener("dragover", function (event) {
    if (!bringsFiles(event)) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = "copy";
    document.body.classList.add("dropping");
  });
  document.addEventListener("dragleave", function (event) {
    if (event.relatedTarget === null) document.body.classList.remove("dropping");
  });
  document.addEventListener("drop", async function (event) {
    if (!bringsFiles(event)) return;
    event.preventDefault();
    document.body.classList.remove("dropping");
    take(await filesOf(event.dataTransfer));
  });

  const chooser = document.createElement("input");
  chooser.type = "file";
  chooser.multiple = true;
  chooser.addEventListener("change", function () {
    take(Array.from(chooser.files));
    chooser.value = "";
  });
  document.addEventListener("click", function (event) {
    if (event.target.closest("#import-open")) chooser.click();
    if (event.target.closest(".imports-close")) {
      place().querySelector(".imports").classList.add("closed");
      document.getElementById("import-open").focus();
    }
  });

  // What others find changed: `store-watch.js` draws the page anew, or offers to.
  function showAnew() {
    window.ridereadyWatch.showAnew();
  }

  // The line above the page that says what became of files, and that something changed elsewhere.
  window.ridereadyTold = {
    offer: function (redraw) {
      const sum = place().querySelector(".imports-sum");
      show();
      sum.append(" " + worded("changed", {}) + " "); // after what became of an import
      const press = made("button", worded("changed.show", {}), "plain");
      press.type = "button";
      press.addEventListener("click", function () {
        sum.textContent = "";
        if (lines.size === 0) place().querySelector(".imports").classList.add("closed");
        redraw();
      });
      sum.append(press);
    },
  };
})();
