// A voice: one sound file, or several that sound together, at one place in time.
//
// Nothing but the audio element can read a file beside a page that was opened from a disk, so
// everything here is done with audio elements.

/** How far a browser's clock may be from our reckoning before we believe it, in seconds. */
const BELIEVE = 0.08;
/** Elements of one voice are brought together when they are further apart, in seconds. */
const TOGETHER = 0.004;

class Voice {
  constructor() {
    this.elements = [];
    this.speed = 1;
  }

  /** Takes files; those that it has already stay as they are. */
  load(paths) {
    if (paths.join() === this.paths?.join()) return;
    this.stop();
    this.paths = paths;
    this.elements.forEach((element) => element.removeAttribute("src"));
    this.elements = paths.map((path) => {
      const element = new Audio();
      element.preload = "auto";
      element.preservesPitch = true;
      element.src = path;
      element.playbackRate = this.speed;
      return element;
    });
    this.silent = this.silent ?? false;
    this.muted = this.silent;
  }

  get muted() {
    return this.silent;
  }

  set muted(silent) {
    this.silent = silent;
    this.elements.forEach((element) => {
      element.muted = silent;
    });
  }

  /** Playing speed; 1 is as recorded. */
  set rate(speed) {
    this.speed = speed;
    this.elements.forEach((element) => {
      element.playbackRate = speed;
    });
  }

  /** How loud each file is, 0 to 1. */
  set volumes(volumes) {
    this.elements.forEach((element, index) => {
      element.volume = volumes[index] ?? 1;
    });
  }

  get isReady() {
    return this.elements.length > 0 && this.elements.every((element) => !element.seeking && element.readyState >= 3);
  }

  get isRunning() {
    return this.elements.length > 0 && !this.elements[0].paused;
  }

  get hasEnded() {
    return this.elements[0]?.ended ?? false;
  }

  /** How long it is, in seconds; none while that is not known. */
  get duration() {
    const duration = this.elements[0]?.duration;
    return Number.isFinite(duration) ? duration : null;
  }

  seek(time) {
    this.elements.forEach((element) => {
      element.currentTime = time;
    });
    this.reading = null;
  }

  start() {
    this.reading = null;
    return Promise.all(this.elements.map((element) => element.play()));
  }

  stop() {
    this.elements.forEach((element) => element.pause());
    this.reading = null;
  }

  /** Where it is, in seconds. Some browsers tell the time in steps; between two we reckon on. */
  position(now = performance.now()) {
    return this.reckon(this.elements[0], now);
  }

  reckon(element, now) {
    if (!element) return 0;
    const raw = element.currentTime;
    if (element.paused || element.seeking) {
      this.reading = null;
      return raw;
    }
    if (!this.reading) {
      this.reading = { raw, time: raw, at: now };
      return raw;
    }
    const { reading } = this;
    const reckoned = reading.time + ((now - reading.at) / 1000) * element.playbackRate;
    if (raw === reading.raw) return Math.min(reckoned, raw + 0.25);
    const off = raw - reckoned;
    const time = Math.abs(off) > BELIEVE ? raw : reckoned + off * 0.25;
    this.reading = { raw, time, at: now };
    return time;
  }

  /** Gently brings the voice to where it should be: `off` is how far it is ahead, in seconds. */
  steer(off) {
    const slower = Math.abs(off) < 0.0015 ? 0 : Math.max(-0.25, Math.min(0.25, off / 0.12));
    const speed = this.speed * (1 - slower);
    this.elements.forEach((element) => {
      if (Math.abs(element.playbackRate - speed) > 0.001) element.playbackRate = speed;
    });
  }

  /** Keeps the files of the voice together, following the first. */
  gather() {
    const [first, ...others] = this.elements;
    if (!first || others.length === 0 || first.paused || first.seeking) return;
    for (const element of others) {
      if (element.seeking) continue;
      const ahead = element.currentTime - first.currentTime;
      if (Math.abs(ahead) > 0.15) element.currentTime = first.currentTime;
      else element.playbackRate = Math.abs(ahead) > TOGETHER ? this.speed * (1 - Math.max(-0.1, Math.min(0.1, ahead / 0.3))) : this.speed;
    }
  }
}
