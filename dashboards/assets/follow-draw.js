// What is seen of a circuit that is followed: before it, step by step, when it is stopped, and at its end.
(function () {
  "use strict";

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

  class Drawing {
    // `acts` is what the buttons do: start, next, back, ask, goOn, end, log, forget.
    constructor(root, course, acts) {
      this.root = root;
      this.course = course;
      this.acts = acts;
      this.words = JSON.parse(root.dataset.words);
      this.content = element("div", "follow-content");
      this.live = element("p", "for-readers");
      this.live.setAttribute("aria-live", "polite");
      root.querySelector(".follow-stage").replaceChildren(this.content, this.live);
    }

    say(name, values) {
      return filled(this.words[name], values || {});
    }

    show(isAsked) {
      const course = this.course;
      this.root.dataset.state = course.state.done ? "done" : course.isRunning() ? "running" : "ready";
      this.content.replaceChildren(...this.parts(isAsked));
      if (this.moved) this.content.querySelector("[data-first]").focus();
      this.moved = true;
    }

    parts(isAsked) {
      if (this.course.state.done) return this.ending();
      if (!this.course.isRunning()) return this.beginning();
      return isAsked ? this.asking() : this.running();
    }

    tellAwake(isOn) {
      this.awake = this.say(isOn ? "awake" : "not_awake");
      if (this.awakeNote) this.awakeNote.textContent = this.awake;
    }

    // The clocks of the step on screen.
    tick(isAsked) {
      const { state } = this.course;
      this.total.textContent = this.say("so_far", {
        done: this.course.repsDone(), all: state.plan.total_reps,
        time: clock((Date.now() - state.begun) / 1000),
      });
      const step = this.course.step();
      if (step.seconds === undefined || isAsked) return;
      const left = this.course.secondsLeft();
      this.big.textContent = clock(left);
      this.bar.style.transform = "scaleX(" + Math.max(0, Math.min(1, left / step.seconds)).toFixed(4) + ")";
      if (left <= 10 && step.seconds > 20 && this.warned !== state.since) {
        this.warned = state.since;
        this.live.textContent = this.say("ten_left");
      }
    }

    beginning() {
      const plan = this.course.state.plan;
      const rounds = this.course.steps.findIndex((step) => step.kind === "work");
      const ways = element("div", "follow-ways");
      const start = (at) => () => this.acts.start(at);
      if (rounds > 0) ways.append(button("follow-button main", this.say("start_warm_up"), start(0)));
      const straight = "follow-button" + (rounds > 0 ? "" : " main");
      ways.append(button(straight, this.say("start_rounds"), start(rounds)));
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
      const plan = this.course.state.plan;
      if (step.kind === "move") return this.say(step.phase);
      const of = { round: step.round, rounds: plan.top };
      if (step.kind === "rest") return this.say("after_round", of);
      return this.say("round", { ...of, place: step.place + 1, places: plan.stations.length });
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
      const rest = this.course.state.plan.rest;
      if (rest.level_bpm === null) return this.say("rest_clock");
      return this.say("rest_pulse", { level: rest.level_bpm, cap: rest.at_most_s });
    }

    running() {
      const step = this.course.step();
      const isTimed = step.seconds !== undefined;
      this.total = element("p", "quiet follow-total");
      this.awakeNote = element("p", "quiet follow-awake", this.awake || "");
      const how = element("p", "follow-how", this.how(step));
      if (step.rep) how.append(" ", this.say("one_rep", { rep: step.rep }));
      if (step.weight_kg) how.append(" ", this.say("weight", { kg: step.weight_kg }));
      const said = isTimed ? this.nameOf(step) : this.inShort(step);
      this.live.textContent = this.where(step) + ". " + said + ". " + (step.kind === "rest" ? this.how(step) : "");
      const next = this.inShort(this.course.steps[this.course.state.at + 1]);
      return [
        element("p", "follow-where", this.where(step)),
        element("h1", "follow-name", this.nameOf(step)),
        this.count(step, isTimed),
        this.strip(isTimed),
        how,
        element("p", "follow-next", this.say("next", { what: next })),
        this.doneButton(step),
        this.lesserButtons(),
        this.total,
        this.awakeNote,
      ];
    }

    // How many, or how long still.
    count(step, isTimed) {
      this.big = element("span", "follow-big", isTimed ? clock(this.course.secondsLeft()) : String(step.reps));
      const count = element("p", "follow-count");
      const unit = isTimed ? "left" : step.is_each_side ? "reps_each" : step.reps === 1 ? "rep" : "reps";
      count.append(this.big, " ", element("span", "follow-unit", this.say(unit)));
      return count;
    }

    strip(isTimed) {
      const frame = element("div", "follow-bar");
      this.bar = element("div");
      frame.append(this.bar);
      frame.hidden = !isTimed;
      return frame;
    }

    doneButton(step) {
      const ends = { rest: this.course.state.plan.rest.level_bpm === null ? "go_now" : "pulse_down", move: "move_on" };
      const main = button("follow-button main follow-done", this.say(ends[step.kind] || "done"), () => this.acts.next());
      main.dataset.first = "";
      return main;
    }

    lesserButtons() {
      const small = element("div", "follow-small");
      const back = button("follow-button", this.say("back"), () => this.acts.back());
      back.disabled = this.course.state.at === 0;
      small.append(back, button("follow-button follow-stop", this.say("stop"), () => this.acts.ask()));
      return small;
    }

    // The stop button: signs first, then what to do.
    asking() {
      const rounds = this.course.roundsDone();
      const on = button("follow-button", this.say("go_on"), () => this.acts.goOn());
      const end = this.say(rounds === 1 ? "end_here_one" : "end_here", { rounds });
      this.live.textContent = "";
      const ways = element("div", "follow-ways");
      ways.append(button("follow-button main", end, () => this.acts.end(rounds)), on);
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
      const { done, plan, logged } = this.course.state;
      const minutes = Math.max(1, Math.round(done.minutes));
      const facts = this.say("facts", { rounds: done.rounds, all: plan.top, minutes });
      const head = [
        this.heading(done.rounds === plan.top ? "finished" : "ended"),
        element("p", "follow-facts", facts),
      ];
      const away = button("follow-button", this.say(logged ? "again" : "discard"), () => this.acts.forget());
      this.live.textContent = "";
      if (logged) return [...head, element("p", "follow-logged", logged), away];
      this.note = element("p", "follow-note");
      this.note.setAttribute("role", "status");
      const ways = element("div", "follow-small");
      ways.append(button("follow-button", this.say("no_rpe"), () => this.acts.log(null)), away);
      return [...head, element("h2", "", this.say("rpe")), element("p", "quiet", this.say("rpe_how")), ...this.scale(), this.note, ways];
    }

    scale() {
      const scale = element("div", "follow-rpe");
      scale.setAttribute("role", "group");
      scale.setAttribute("aria-label", this.say("rpe"));
      for (let rpe = 0; rpe <= 10; rpe += 1) {
        const one = button("follow-button", String(rpe), () => this.acts.log(rpe));
        one.setAttribute("aria-label", this.say("rpe_one", { rpe }));
        scale.append(one);
      }
      const ends = element("p", "follow-rpe-ends quiet");
      ends.append(element("span", "", this.say("rpe_low")), element("span", "", this.say("rpe_high")));
      return [scale, ends];
    }

    tell(text) {
      if (this.note) this.note.textContent = text;
    }
  }

  window.ridereadyDrawing = Drawing;
})();
