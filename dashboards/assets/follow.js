// Following a circuit: step by step, by this browser's own clock, without a word from the server until the end.
// Where the rider is stands in the browser's storage after every step, so that a reload goes on there.
(function () {
  "use strict";

  const STORE = "rideready.follow ";
  const TICK_MS = 250;
  // A wet thumb taps twice: a second tap this soon is the same one.
  const SAME_TAP_MS = 300;
  const ANSWER_MS = 8000;
  const KEEP_MS = 3 * 24 * 3600 * 1000;

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

  function filled(text, values) {
    return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
  }

  function clock(seconds) {
    const whole = Math.max(0, Math.ceil(seconds));
    return Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
  }

  function element(tag, className, text) {
    const made = document.createElement(tag);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
  }

  function button(className, text, act) {
    const made = element("button", className, text);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  // Every step in order: timed moves, work, rests between rounds, timed moves.
  function stepsOf(plan) {
    const steps = [];
    const moves = (phase) => plan[phase].forEach((move) => steps.push({ kind: "move", phase, ...move }));
    moves("warm_up");
    for (let reps = plan.top, round = 1; reps > 0; reps -= 1, round += 1) {
      plan.stations.forEach((station, place) => steps.push({ kind: "work", round, reps, place, ...station }));
      if (reps > 1) steps.push({ kind: "rest", round, seconds: plan.rest.at_most_s });
    }
    moves("cool_down");
    return steps;
  }

  class Follow {
    constructor(root) {
      this.root = root;
      this.stage = root.querySelector(".follow-stage");
      this.words = JSON.parse(root.dataset.words);
      this.key = STORE + root.dataset.key;
      this.sweep();
      this.state = this.kept() || this.unbegun();
      this.steps = stepsOf(this.state.plan);
      this.content = element("div", "follow-content");
      this.live = element("p", "for-readers");
      this.live.setAttribute("aria-live", "polite");
      this.stage.replaceChildren(this.content, this.live);
      this.onKey = this.onKey.bind(this);
      this.onStorage = this.onStorage.bind(this);
      document.addEventListener("keydown", this.onKey);
      window.addEventListener("storage", this.onStorage);
      this.timer = setInterval(() => this.tick(), TICK_MS);
      this.show();
      if (this.isRunning()) this.stayAwake();
    }

    leave() {
      clearInterval(this.timer);
      clearTimeout(this.waiting);
      document.removeEventListener("keydown", this.onKey);
      window.removeEventListener("storage", this.onStorage);
      window.ridereadyAwake.release();
    }

    unbegun() {
      return { plan: JSON.parse(this.root.dataset.plan), at: null, done: null, logged: null };
    }

    // Workouts of earlier days are of no use any more.
    sweep() {
      try {
        for (const key of Object.keys(localStorage)) {
          if (!key.startsWith(STORE) || key === this.key) continue;
          if (Date.now() - (JSON.parse(localStorage.getItem(key)).begun || 0) > KEEP_MS) localStorage.removeItem(key);
        }
      } catch (error) {
        /* private window: nothing was kept */
      }
    }

    kept() {
      try {
        return JSON.parse(localStorage.getItem(this.key));
      } catch (error) {
        return null;
      }
    }

    keep() {
      try {
        localStorage.setItem(this.key, JSON.stringify(this.state));
      } catch (error) {
        /* private window: a reload begins anew */
      }
    }

    say(name, values) {
      return filled(this.words[name], values || {});
    }

    isRunning() {
      return this.state.at !== null && this.state.done === null;
    }

    step() {
      return this.steps[this.state.at];
    }

    secondsLeft() {
      return this.step().seconds - (Date.now() - this.state.since) / 1000;
    }

    // ---- moving on

    start(at) {
      this.state.begun = Date.now();
      this.stayAwake();
      this.goTo(at);
    }

    goTo(at) {
      this.state.at = at;
      this.state.since = Date.now();
      this.warned = false;
      if (at >= this.steps.length) return this.finish(this.state.plan.top);
      this.keep();
      this.show();
    }

    next() {
      if (!this.isRunning() || this.isAsked || Date.now() - this.state.since < SAME_TAP_MS) return;
      this.goTo(this.state.at + 1);
    }

    back() {
      if (this.state.at > 0) this.goTo(this.state.at - 1);
    }

    roundsDone() {
      const ahead = this.steps.slice(this.state.at).find((step) => step.kind === "work");
      return ahead ? ahead.round - 1 : this.state.plan.top;
    }

    finish(rounds) {
      this.state.done = { rounds, at: Date.now(), minutes: (Date.now() - this.state.begun) / 60000 };
      this.isAsked = false;
      this.keep();
      window.ridereadyAwake.release();
      this.show();
    }

    forget() {
      try {
        localStorage.removeItem(this.key);
      } catch (error) {
        /* nothing was kept */
      }
      this.state = { ...this.state, at: null, done: null, logged: null };
      this.isAsked = false;
      window.ridereadyAwake.release();
      this.show();
    }

    stayAwake() {
      window.ridereadyAwake.hold((isOn) => {
        this.awake = this.say(isOn ? "awake" : "not_awake");
        if (this.awakeNote) this.awakeNote.textContent = this.awake;
      });
    }

    onKey(event) {
      if (event.key !== " " || event.repeat || event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.target.closest("button, a, input, select, textarea, summary, [role=button]")) return;
      if (!this.isRunning() || this.isAsked) return;
      event.preventDefault();
      this.next();
    }

    // Another tab moved on, or wrote it down.
    onStorage(event) {
      if (event.key !== this.key || !event.newValue) return;
      this.state = JSON.parse(event.newValue);
      this.steps = stepsOf(this.state.plan);
      this.show();
    }

    tick() {
      if (!this.isRunning()) return;
      this.total.textContent = this.say("so_far", {
        done: this.repsDone(), all: this.state.plan.total_reps,
        time: clock((Date.now() - this.state.begun) / 1000),
      });
      const step = this.step();
      if (step.seconds === undefined || this.isAsked) return;
      const left = this.secondsLeft();
      if (left <= 0) return this.goTo(this.state.at + 1);
      this.big.textContent = clock(left);
      this.bar.style.transform = "scaleX(" + Math.min(1, left / step.seconds).toFixed(4) + ")";
      if (left <= 10 && step.seconds > 20 && !this.warned) {
        this.warned = true;
        this.live.textContent = this.say("ten_left");
      }
    }

    repsDone() {
      return this.steps.slice(0, this.state.at).reduce((sum, step) => sum + (step.kind === "work" ? step.reps : 0), 0);
    }

    // ---- showing

    show() {
      this.root.dataset.state = this.state.done ? "done" : this.isRunning() ? "running" : "ready";
      const parts = this.state.done ? this.ending() : !this.isRunning() ? this.beginning() : this.isAsked ? this.asking() : this.running();
      this.content.replaceChildren(...parts);
      if (this.isRunning() && !this.isAsked) this.tick();
      if (this.moved) this.content.querySelector("[data-first]").focus();
      this.moved = true;
    }

    beginning() {
      const plan = this.state.plan;
      const rounds = this.steps.findIndex((step) => step.kind === "work");
      const ways = element("div", "follow-ways");
      if (rounds > 0) ways.append(button("follow-button main", this.say("start_warm_up"), () => this.start(0)));
      const straight = button("follow-button" + (rounds > 0 ? "" : " main"), this.say("start_rounds"), () => this.start(rounds));
      ways.append(straight);
      ways.firstChild.dataset.first = "";
      const list = element("ol", "follow-list");
      plan.stations.forEach((station) => list.append(element("li", "", station.name)));
      return [
        element("h1", "follow-title", this.say("title")),
        element("p", "", this.say("overview", { top: plan.top, minutes: plan.minutes })),
        list,
        ways,
        element("p", "quiet", this.say("how_to")),
        element("p", "quiet", this.say("wakeLock" in navigator ? "will_wake" : "not_awake")),
      ];
    }

    where(step) {
      if (step.kind === "move") return this.say(step.phase);
      const of = { round: step.round, rounds: this.state.plan.top };
      if (step.kind === "rest") return this.say("after_round", of);
      return this.say("round", { ...of, place: step.place + 1, places: this.state.plan.stations.length });
    }

    nameOf(step) {
      return step.kind === "rest" ? this.say("rest") : step.name;
    }

    // What comes next in a few words.
    inShort(step) {
      if (!step) return this.say("the_end");
      if (step.kind === "work") return this.say(step.is_each_side ? "short_each" : "short", step);
      return this.nameOf(step);
    }

    how(step) {
      if (step.kind !== "rest") return step.how;
      const rest = this.state.plan.rest;
      return rest.level_bpm === null ? this.say("rest_clock") : this.say("rest_pulse", { level: rest.level_bpm, cap: rest.at_most_s });
    }

    running() {
      const step = this.step();
      const isTimed = step.seconds !== undefined;
      this.big = element("span", "follow-big", isTimed ? clock(this.secondsLeft()) : String(step.reps));
      const count = element("p", "follow-count");
      const unit = isTimed ? "left" : step.is_each_side ? "reps_each" : step.reps === 1 ? "rep" : "reps";
      count.append(this.big, " ", element("span", "follow-unit", this.say(unit)));
      const frame = element("div", "follow-bar");
      this.bar = element("div");
      frame.append(this.bar);
      frame.hidden = !isTimed;
      const word = step.kind === "rest" ? (this.state.plan.rest.level_bpm === null ? "go_now" : "pulse_down") : step.kind === "move" ? "move_on" : "done";
      const main = button("follow-button main follow-done", this.say(word), () => this.next());
      main.dataset.first = "";
      const small = element("div", "follow-small");
      const back = button("follow-button", this.say("back"), () => this.back());
      back.disabled = this.state.at === 0;
      small.append(back, button("follow-button follow-stop", this.say("stop"), () => this.ask()));
      this.total = element("p", "quiet follow-total");
      this.awakeNote = element("p", "quiet follow-awake", this.awake || "");
      const how = element("p", "follow-how", this.how(step));
      if (step.rep) how.append(" ", this.say("one_rep", { rep: step.rep }));
      if (step.weight_kg) how.append(" ", this.say("weight", { kg: step.weight_kg }));
      const said = isTimed ? this.nameOf(step) : this.inShort(step);
      this.live.textContent = this.where(step) + ". " + said + ". " + (step.kind === "rest" ? this.how(step) : "");
      return [
        element("p", "follow-where", this.where(step)),
        element("h1", "follow-name", this.nameOf(step)),
        count,
        frame,
        how,
        element("p", "follow-next", this.say("next", { what: this.inShort(this.steps[this.state.at + 1]) })),
        main,
        small,
        this.total,
        this.awakeNote,
      ];
    }

    // The stop button: signs first, then what to do. The clock of a rest stands still meanwhile.
    ask() {
      this.isAsked = true;
      this.show();
    }

    asking() {
      const asked = Date.now();
      const on = button("follow-button", this.say("go_on"), () => {
        this.isAsked = false;
        this.state.since += Date.now() - asked;
        this.keep();
        this.show();
      });
      const end = button("follow-button main", this.say(this.roundsDone() === 1 ? "end_here_one" : "end_here", { rounds: this.roundsDone() }), () => this.finish(this.roundsDone()));
      this.live.textContent = "";
      const ways = element("div", "follow-ways");
      ways.append(end, on);
      return [this.heading("stopped"), element("p", "follow-signs", this.say("stop_signs")), ways];
    }

    // A heading that takes the focus: a space too many must not press what stands below it.
    heading(word) {
      const title = element("h1", "follow-title", this.say(word));
      title.tabIndex = -1;
      title.dataset.first = "";
      return title;
    }

    ending() {
      const { rounds, minutes } = this.state.done;
      const title = this.heading(rounds === this.state.plan.top ? "finished" : "ended");
      const facts = element("p", "follow-facts", this.say("facts", { rounds, all: this.state.plan.top, minutes: Math.max(1, Math.round(minutes)) }));
      const again = button("follow-button", this.say("again"), () => this.forget());
      this.live.textContent = "";
      if (this.state.logged) {
        return [title, facts, element("p", "follow-logged", this.state.logged), again];
      }
      const scale = element("div", "follow-rpe");
      scale.setAttribute("role", "group");
      scale.setAttribute("aria-label", this.say("rpe"));
      for (let rpe = 0; rpe <= 10; rpe += 1) {
        const one = button("follow-button", String(rpe), () => this.log(rpe));
        one.setAttribute("aria-label", this.say("rpe_one", { rpe }));
        scale.append(one);
      }
      const ends = element("p", "follow-rpe-ends quiet");
      ends.append(element("span", "", this.say("rpe_low")), element("span", "", this.say("rpe_high")));
      this.note = element("p", "follow-note");
      this.note.setAttribute("role", "status");
      const ways = element("div", "follow-small");
      ways.append(button("follow-button", this.say("no_rpe"), () => this.log(null)), again);
      again.textContent = this.say("discard");
      return [title, facts, element("h2", "", this.say("rpe")), element("p", "quiet", this.say("rpe_how")), scale, ends, this.note, ways];
    }

    // ---- the one word to the server

    log(rpe) {
      if (this.isSent || Date.now() - this.state.done.at < SAME_TAP_MS) return;
      this.isSent = true;
      this.note.textContent = this.say("writing");
      const plan = this.state.plan;
      window.dash_clientside.set_props("follow-finished", {
        data: {
          day: plan.day,
          names: plan.stations.map((station) => station.name),
          weights_kg: plan.stations.map((station) => station.weight_kg),
          top: plan.top,
          full_top: plan.full_top,
          rounds: this.state.done.rounds,
          minutes: this.state.done.minutes,
          rpe,
          sent: Date.now(), // so that a second try is told apart from the first
        },
      });
      this.waiting = setTimeout(() => this.answered("", this.say("no_answer")), ANSWER_MS);
    }

    answered(logged, trouble) {
      clearTimeout(this.waiting);
      this.isSent = false;
      if (logged) {
        this.state.logged = logged;
        this.keep();
        this.show();
      } else if (trouble && this.note) {
        this.note.textContent = trouble;
      }
    }
  }

  let followed = null;

  // The page comes and goes with the address: begin when its frame is there, end when it is gone.
  function look() {
    const root = document.getElementById("follow");
    if (followed && followed.root !== root) {
      followed.leave();
      followed = null;
    }
    if (!root || followed || !root.querySelector(".follow-stage")) return;
    // Without a plan only a workout that was begun can go on; else the page says why there is none.
    const isBegun = root.dataset.plan !== "null" || localStorage.getItem(STORE + root.dataset.key) !== null;
    if (isBegun) followed = new Follow(root);
  }
  new MutationObserver(look).observe(document.documentElement, { childList: true, subtree: true });

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.ridereadyFollow = {
    answered: function (answer) {
      if (answer && followed) followed.answered(answer.logged, answer.trouble);
      return window.dash_clientside.no_update;
    },
  };

  document.addEventListener("click", function (event) {
    if (event.target.closest && event.target.closest("[data-print]")) window.print();
  });
})();
