// The player. Repeated bars are played by two voices in turn: while one sounds, the other is set
// a moment before the first repeated bar, started in silence, brought exactly into time, and
// turned on as the first is turned off. So a joint is as exact as two clocks can be compared,
// however long a browser takes to jump in a file.

/** How long the second voice runs in silence before it is heard, in seconds of music. */
const RUN_UP = 0.5;
/** A voice that is further from its clock than this has been stopped by something, in milliseconds. */
const LOST = 60;

class Player {
  constructor() {
    this.lead = new Voice();
    this.spare = new Voice();
    this.spare.silent = true;
    this.playing = false;
    this.speed = 1;
    this.repeat = null;
    this.latency = 0.02;
    this.rounds = 0;
    this.timer = null;
    /** When the sounding voice reaches the end of the repeated bars, in milliseconds. */
    this.joint = 0;
    /** Whether the joint follows from the one before. */
    this.keepsTime = false;
    /** In the silence between two rounds: where the music stopped. */
    this.pausedBetween = null;
  }

  /** Takes the files of a take, and goes to a time. */
  open(paths, volumes, time) {
    const going = this.playing;
    this.lead.load(paths);
    this.paths = paths;
    this.volumes = volumes;
    this.lead.volumes = volumes;
    this.lead.muted = false;
    this.dropSpare();
    this.goTo(time);
    if (going) this.play();
  }

  setVolumes(volumes) {
    this.volumes = volumes;
    this.lead.volumes = volumes;
    this.spare.volumes = volumes;
  }

  async play() {
    this.playing = true;
    if (this.pausedBetween !== null) this.goTo(this.repeat?.from ?? this.lead.position());
    this.lead.rate = this.speed;
    try {
      await this.lead.start();
    } catch (error) {
      // A pause that overtakes the start is no failure.
      if (error.name !== "AbortError") {
        this.playing = false;
        this.onTrouble?.();
      }
    }
    this.tick();
  }

  pause() {
    this.playing = false;
    this.keepsTime = false;
    clearTimeout(this.timer);
    this.lead.stop();
    this.dropSpare();
  }

  goTo(time) {
    this.keepsTime = false;
    this.pausedBetween = null;
    this.dropSpare();
    this.lead.muted = false;
    this.lead.seek(time);
    if (this.playing && !this.lead.isRunning) this.lead.start().catch(() => {});
    if (this.playing) this.tick();
  }

  setSpeed(speed) {
    this.speed = speed;
    this.keepsTime = false;
    this.lead.rate = speed;
    this.dropSpare();
  }

  /** Repeats from a time to a time, with a silence between, all in seconds of music; null ends it. */
  setRepeat(repeat) {
    this.repeat = repeat;
    this.keepsTime = false;
    this.rounds = 0;
    this.dropSpare();
    if (this.playing) this.tick();
  }

  /** Where the music is, in seconds; in a silence between two rounds, where it was. */
  position(now = performance.now()) {
    return this.pausedBetween ?? this.lead.position(now);
  }

  dropSpare() {
    this.spare.stop();
    this.spare.muted = true;
    this.stage = "idle";
  }

  /** Does what is due, and comes back when the next thing is. */
  tick() {
    clearTimeout(this.timer);
    if (!this.playing) return;
    const now = performance.now();
    this.lead.gather();
    let wait = 25;
    if (this.repeat) wait = this.turn(now);
    else if (this.lead.hasEnded) {
      this.playing = false;
      this.onEnd?.();
      return;
    }
    this.timer = setTimeout(() => this.tick(), Math.max(1, Math.min(25, wait)));
  }

  /** One step of a repeat; the answer is how many milliseconds there are to the next. */
  turn(now) {
    const { from, to, silence } = this.repeat;
    const { lead, spare, speed } = this;
    const ms = (music) => (music / speed) * 1000;
    if (this.pausedBetween === null) {
      const heard = now + ms(to - (lead.hasEnded ? to : lead.position(now)));
      // From the second round on the rounds follow one clock, so that small errors do not add up.
      if (!this.keepsTime || Math.abs(heard - this.joint) > LOST) this.joint = heard;
    }
    const entry = this.joint + ms(silence);
    const cue = Math.max(0, from - RUN_UP);
    if (this.stage === "idle") {
      spare.load(this.paths);
      spare.volumes = this.volumes;
      spare.rate = speed;
      spare.muted = true;
      spare.seek(cue);
      this.stage = "cued";
    }
    const roll = entry - ms(from - cue) - this.latency * 1000;
    if (this.stage === "cued" && spare.isReady && now >= roll - 1) {
      this.stage = "rolling";
      this.learned = false;
      spare.start().catch(() => {});
    }
    if (this.stage === "rolling") this.steerSpare(now, from - (entry - now) / 1000 * speed, cue);
    if (now >= this.joint && this.pausedBetween === null && silence > 0) {
      lead.muted = true;
      lead.stop();
      this.pausedBetween = to;
    }
    if (now >= entry - 0.5) {
      this.enter(from);
      return 1;
    }
    const next = [roll, this.joint, entry].filter((time) => time > now).map((time) => time - now);
    return Math.min(this.stage === "rolling" ? 12 : 25, ...next);
  }

  steerSpare(now, wanted, cue) {
    const position = this.spare.position(now);
    if (position <= cue + 0.03) return;
    const off = position - wanted;
    if (!this.learned) {
      this.learned = true;
      // Off is negative where the start took longer than was reckoned with.
      this.latency = Math.max(0, Math.min(0.3, this.latency - (off / this.speed) * 0.5));
    }
    if (Math.abs(off) < 0.2) this.spare.steer(off);
    this.spare.gather();
  }

  /** The next round begins. */
  enter(from) {
    this.rounds += 1;
    this.pausedBetween = null;
    if (this.stage !== "rolling" || !this.spare.isRunning) {
      // The second voice is not ready, as with bars that are very short: jump, as well as can be.
      this.keepsTime = false;
      this.lead.seek(from);
      this.lead.muted = false;
      if (!this.lead.isRunning) this.lead.start().catch(() => {});
      this.dropSpare();
      return;
    }
    [this.lead, this.spare] = [this.spare, this.lead];
    this.lead.rate = this.speed;
    this.lead.muted = false;
    this.joint += ((this.repeat.silence + this.repeat.to - from) / this.speed) * 1000;
    this.keepsTime = true;
    this.dropSpare();
  }
}
