// The course of a circuit that is followed: its steps, where the rider is, and the clock.
// Where the rider is stands in the browser's storage after every step, so that a reload goes on there.
(function () {
  "use strict";

  const STORE = "rideready.follow ";
  // A wet thumb taps twice: a second tap this soon is the same one.
  const SAME_TAP_MS = 300;
  const KEEP_MS = 3 * 24 * 3600 * 1000;

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

  class Course {
    constructor(key, plan) {
      this.key = STORE + key;
      this.sweep();
      this.take(this.kept() || { plan, at: null, done: null, logged: null });
    }

    static isKept(key) {
      return localStorage.getItem(STORE + key) !== null;
    }

    take(state) {
      this.state = state;
      this.steps = stepsOf(state.plan);
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

    isRunning() {
      return this.state.at !== null && this.state.done === null;
    }

    step() {
      return this.steps[this.state.at];
    }

    secondsLeft() {
      return this.step().seconds - (Date.now() - this.state.since) / 1000;
    }

    start(at) {
      this.state.begun = Date.now();
      this.goTo(at);
    }

    goTo(at) {
      this.state.at = at;
      this.state.since = Date.now();
      if (at >= this.steps.length) this.finish(this.state.plan.top);
      else this.keep();
    }

    // Too soon after the last step, or after the end, for a tap to be meant.
    isSameTap() {
      const last = this.state.done ? this.state.done.at : this.state.since;
      return Date.now() - last < SAME_TAP_MS;
    }

    roundsDone() {
      const ahead = this.steps.slice(this.state.at).find((step) => step.kind === "work");
      return ahead ? ahead.round - 1 : this.state.plan.top;
    }

    repsDone() {
      return this.steps.slice(0, this.state.at).reduce((sum, step) => sum + (step.kind === "work" ? step.reps : 0), 0);
    }

    // The clock of a step stands still for as long as the rider was asked something.
    holdBack(milliseconds) {
      this.state.since += milliseconds;
      this.keep();
    }

    finish(rounds) {
      this.state.done = { rounds, at: Date.now(), minutes: (Date.now() - this.state.begun) / 60000 };
      this.keep();
    }

    writtenDown(logged) {
      this.state.logged = logged;
      this.keep();
    }

    forget() {
      try {
        localStorage.removeItem(this.key);
      } catch (error) {
        /* nothing was kept */
      }
      this.state = { ...this.state, at: null, done: null, logged: null };
    }

    // What the server is told at the end.
    report(rpe) {
      const plan = this.state.plan;
      return {
        day: plan.day,
        names: plan.stations.map((station) => station.name),
        weights_kg: plan.stations.map((station) => station.weight_kg),
        top: plan.top,
        full_top: plan.full_top,
        rounds: this.state.done.rounds,
        minutes: this.state.done.minutes,
        rpe,
        sent: Date.now(), // so that a second try is told apart from the first
      };
    }
  }

  window.ridereadyCourse = Course;
})();
