// Following a circuit: step by step, by this browser's own clock, without a word from the server until the end.
// `follow-course.js` knows where the rider is, `follow-draw.js` shows it; here is what taps, keys and time do.
(function () {
  "use strict";

  const TICK_MS = 250;
  const ANSWER_MS = 8000;

  class Follow {
    constructor(root) {
      this.root = root;
      this.course = new window.ridereadyCourse(root.dataset.key, JSON.parse(root.dataset.plan));
      this.drawing = new window.ridereadyDrawing(root, this.course, this);
      this.onKey = this.onKey.bind(this);
      this.onStorage = this.onStorage.bind(this);
      document.addEventListener("keydown", this.onKey);
      window.addEventListener("storage", this.onStorage);
      this.timer = setInterval(() => this.tick(), TICK_MS);
      this.show();
      if (this.course.isRunning()) this.stayAwake();
    }

    leave() {
      clearInterval(this.timer);
      clearTimeout(this.waiting);
      document.removeEventListener("keydown", this.onKey);
      window.removeEventListener("storage", this.onStorage);
      window.ridereadyAwake.release();
    }

    show() {
      this.drawing.show(this.isAsked);
      if (this.isOnStep()) this.tick();
    }

    isOnStep() {
      return this.course.isRunning() && !this.isAsked;
    }

    tick() {
      if (!this.course.isRunning()) return;
      const isOver = this.course.step().seconds !== undefined && this.course.secondsLeft() <= 0;
      if (isOver && !this.isAsked) this.goTo(this.course.state.at + 1);
      else this.drawing.tick(this.isAsked);
    }

    // ---- what the buttons do

    start(at) {
      this.stayAwake();
      this.course.start(at);
      this.show();
    }

    next() {
      if (this.isOnStep() && !this.course.isSameTap()) this.goTo(this.course.state.at + 1);
    }

    back() {
      if (this.course.state.at > 0) this.goTo(this.course.state.at - 1);
    }

    goTo(at) {
      this.course.goTo(at);
      if (this.course.state.done) window.ridereadyAwake.release();
      this.show();
    }

    ask() {
      this.isAsked = true;
      this.asked = Date.now();
      this.show();
    }

    goOn() {
      this.isAsked = false;
      this.course.holdBack(Date.now() - this.asked);
      this.show();
    }

    end(rounds) {
      this.isAsked = false;
      this.course.finish(rounds);
      window.ridereadyAwake.release();
      this.show();
    }

    forget() {
      this.isAsked = false;
      this.course.forget();
      window.ridereadyAwake.release();
      this.show();
    }

    stayAwake() {
      window.ridereadyAwake.hold((isOn) => this.drawing.tellAwake(isOn));
    }

    onKey(event) {
      if (event.key !== " " || event.repeat || event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.target.closest("button, a, input, select, textarea, summary, [role=button]")) return;
      if (!this.isOnStep()) return;
      event.preventDefault();
      this.next();
    }

    // Another tab moved on, or wrote it down.
    onStorage(event) {
      if (event.key !== this.course.key || !event.newValue) return;
      this.course.take(JSON.parse(event.newValue));
      this.show();
    }

    // ---- the one word to the server

    log(rpe) {
      if (this.isSent || this.course.isSameTap()) return;
      this.isSent = true;
      this.drawing.tell(this.drawing.say("writing"));
      window.dash_clientside.set_props("follow-finished", { data: this.course.report(rpe) });
      this.waiting = setTimeout(() => this.answered("", this.drawing.say("no_answer")), ANSWER_MS);
    }

    answered(logged, trouble) {
      clearTimeout(this.waiting);
      this.isSent = false;
      if (logged) {
        this.course.writtenDown(logged);
        this.show();
      } else if (trouble) {
        this.drawing.tell(trouble);
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
    const isBegun = root.dataset.plan !== "null" || window.ridereadyCourse.isKept(root.dataset.key);
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
