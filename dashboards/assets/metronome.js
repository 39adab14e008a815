// The timer of a field test: its steps one after the other, with a beat where the protocol has one.
// Beats are laid down ahead on the clock of the sound card; a timer of the page alone would stagger.
(function () {
  "use strict";

  const LOOK_MS = 25;
  const AHEAD_S = 0.15;
  // A page in the background is woken once a second at best.
  const AHEAD_HIDDEN_S = 2.5;
  const FEET = 4;

  function clock(seconds) {
    const whole = Math.max(0, Math.floor(seconds));
    return Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
  }

  // The sound card's clock; without one the page's own, and the beat is only seen.
  function makeClock() {
    const Sound = window.AudioContext || window.webkitAudioContext;
    const card = Sound ? new Sound() : null;
    if (card) card.resume();
    return { card, now: () => (card ? card.currentTime : performance.now() / 1000) };
  }

  class Metronome {
    constructor(root) {
      this.root = root;
      this.words = JSON.parse(root.dataset.words);
      this.steps = JSON.parse(root.dataset.steps);
      this.show = {};
      for (const part of root.querySelectorAll("[data-part]")) this.show[part.dataset.part] = part;
      this.feet = Array.from(this.show.beat.children);
      this.show.start.addEventListener("click", () => (this.isRunning() ? this.stop() : this.begin(0)));
      this.show.beat_now.addEventListener("click", () => this.begin(this.firstBeat()));
      this.show.next.addEventListener("click", () => this.skip());
      this.show.beat_now.hidden = this.firstBeat() < 1;
      this.rest();
    }

    firstBeat() {
      return this.steps.findIndex((step) => step.ticks_per_min);
    }

    isRunning() {
      return this.looking !== undefined;
    }

    begin(place) {
      this.stop();
      this.clock = makeClock();
      window.ridereadyAwake.hold(() => {});
      this.enter(place, this.clock.now() + 0.1);
      this.looking = setInterval(() => this.look(), LOOK_MS);
      this.root.dataset.state = "running";
      this.show.start.textContent = this.words.stop;
      this.show.next.hidden = false;
      this.show.beat_now.hidden = true;
      this.look();
    }

    // A step begins at a time of the clock, and its beats at once with it.
    enter(place, at_s) {
      this.place = place;
      this.since = at_s;
      this.n_laid = 0;
      const step = this.steps[place];
      this.show.step.textContent = step.what;
      const next = this.steps[place + 1];
      this.show.following.textContent = next ? this.words.next.replace("{what}", next.what) : "";
      this.show.beat.hidden = !step.ticks_per_min;
      this.laid = [];
    }

    skip() {
      const now = this.clock.now();
      this.tellStepped(now);
      if (this.place + 1 >= this.steps.length) return this.stop();
      this.hush();
      this.enter(this.place + 1, now);
      this.look();
    }

    // How long the stepping lasted goes into the form, where it asks for it.
    tellStepped(now) {
      const step = this.steps[this.place];
      if (!step.ticks_per_min) return;
      const stepped_s = Math.min(step.seconds, Math.round(now - this.since));
      this.show.stepped.textContent = this.words.stepped.replace("{s}", stepped_s).replace("{clock}", clock(stepped_s));
      if (this.root.dataset.asks && stepped_s > 0) {
        window.dash_clientside.set_props({ type: this.root.dataset.asks, n: 1 }, { value: stepped_s });
      }
    }

    stop() {
      if (!this.isRunning()) return;
      clearInterval(this.looking);
      this.looking = undefined;
      this.tellStepped(this.clock.now());
      this.hush();
      if (this.clock.card) this.clock.card.close();
      window.ridereadyAwake.release();
      this.rest();
    }

    rest() {
      this.root.dataset.state = "ready";
      this.show.start.textContent = this.words.start;
      this.show.next.hidden = true;
      this.show.beat_now.hidden = this.firstBeat() < 1;
      const beat = this.steps[this.firstBeat()];
      this.show.beat.hidden = !beat;
      this.show.step.textContent = this.words.ready;
      this.show.following.textContent = "";
      this.show.time.textContent = clock(0);
      this.show.of.textContent = "";
      this.show.bar.style.transform = "scaleX(0)";
      this.mark(-1);
    }

    look() {
      const step = this.steps[this.place];
      const now = this.clock.now();
      if (step.ticks_per_min) this.lay(step, now + (document.hidden ? AHEAD_HIDDEN_S : AHEAD_S));
      const gone_s = Math.max(0, now - this.since);
      if (step.seconds !== null && gone_s >= step.seconds) {
        this.tellStepped(now);
        // The next step begins where this one ends, not when this was noticed.
        if (this.place + 1 < this.steps.length) this.enter(this.place + 1, this.since + step.seconds);
        else this.stop();
        return;
      }
      this.show.time.textContent = clock(gone_s);
      this.show.of.textContent = step.seconds === null ? "" : this.words.of.replace("{clock}", clock(step.seconds));
      this.show.bar.style.transform = "scaleX(" + (step.seconds === null ? 0 : gone_s / step.seconds).toFixed(4) + ")";
      if (step.ticks_per_min) this.mark(Math.floor((gone_s * step.ticks_per_min) / 60) % FEET);
    }

    lay(step, until_s) {
      const apart_s = 60 / step.ticks_per_min;
      const n = Math.ceil(step.seconds / apart_s - 1e-9);
      while (this.n_laid < n && this.since + this.n_laid * apart_s <= until_s) {
        this.sound(this.since + this.n_laid * apart_s, this.n_laid % FEET === 0);
        this.n_laid += 1;
      }
    }

    // A short blip, higher where the first foot goes up.
    sound(at_s, isFirst) {
      this.root.dispatchEvent(new CustomEvent("beat", { detail: { at_s, is_first: isFirst } }));
      const card = this.clock.card;
      if (!card) return;
      const tone = card.createOscillator();
      const loudness = card.createGain();
      tone.frequency.value = isFirst ? 1320 : 880;
      const begin_s = Math.max(at_s, card.currentTime);
      loudness.gain.setValueAtTime(0.5, begin_s);
      loudness.gain.exponentialRampToValueAtTime(0.001, begin_s + 0.06);
      tone.connect(loudness).connect(card.destination);
      tone.start(begin_s);
      tone.stop(begin_s + 0.07);
      this.laid.push(tone);
    }

    // Take back beats that were laid down and have not sounded.
    hush() {
      for (const tone of this.laid || []) tone.disconnect();
      this.laid = [];
    }

    mark(foot) {
      if (foot === this.foot) return;
      this.foot = foot;
      this.feet.forEach((mark, place) => mark.classList.toggle("now", place === foot));
    }
  }

  let running = null;

  function look() {
    const root = document.getElementById("metronome");
    if (running && running.root !== root) {
      running.stop();
      running = null;
    }
    if (root && !running) running = new Metronome(root);
  }
  new MutationObserver(look).observe(document.documentElement, { childList: true, subtree: true });
})();
