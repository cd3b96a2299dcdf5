// A voice: one sound file, or several that sound together, at one place in time.
//
// Nothing but the audio element can read a file beside a page that was opened from a disk, so
// everything here is done with audio elements.

/** How far a browser's clock may be from our reckoning before we believe it, in seconds. */
const BELIEVE = 0.08;
/** The longest step in which a browser tells the time, in seconds. */
const STEP = 0.04;
/** Files of one voice that are further apart than this are brought together by a jump, in seconds. */
const APART = 0.04;
/** Closer than this they are left alone; between the two they are played a little faster or slower. */
const TOGETHER = 0.004;

/** Silence that still runs: browsers put an element to sleep that is muted, and wake it late. */
const FAINT = 0.0001;
/** Phones leave loudness to their own buttons; there only muting helps. */
const setsVolume = (() => {
  const element = new Audio();
  element.volume = 0.5;
  return element.volume === 0.5;
})();

class Voice {
  constructor() {
    this.elements = [];
    this.speed = 1;
    this.strays = [];
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
    this.muted = this.silent ?? false;
  }

  get muted() {
    return this.silent;
  }

  set muted(silent) {
    this.silent = silent;
    this.elements.forEach((element, index) => {
      if (setsVolume) element.volume = silent ? FAINT : Math.max(FAINT, this.loudness?.[index] ?? 1);
      else element.muted = silent;
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
    this.loudness = volumes;
    this.muted = this.silent ?? false;
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
    this.strays = [];
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
      this.reading = { raw, time: raw, at: now, isStarting: true };
      return raw;
    }
    const { reading } = this;
    // Until it moves for the first time it has not begun to sound.
    if (reading.isStarting && raw === reading.raw) return raw;
    if (reading.isStarting) {
      this.reading = { raw, time: raw, at: now };
      return raw;
    }
    const reckoned = reading.time + ((now - reading.at) / 1000) * element.playbackRate;
    if (raw === reading.raw) return Math.min(reckoned, raw + STEP);
    const off = raw - reckoned;
    const time = Math.abs(off) > BELIEVE ? raw : reckoned + off * 0.25;
    this.reading = { raw, time, at: now };
    return time;
  }

  /** Gently brings the voice to where it should be: `off` is how far it is ahead, in seconds. */
  steer(off) {
    const slower = Math.abs(off) < 0.0015 ? 0 : Math.max(-0.25, Math.min(0.25, off / 0.12));
    const speed = this.speed * (1 - slower);
    // The others follow the first: see `gather`.
    const [first] = this.elements;
    if (first && Math.abs(first.playbackRate - speed) > 0.001) first.playbackRate = speed;
  }

  /**
   * Brings the files of the voice together where they have come apart: they start one after the
   * other, and may have to wait for their files. What is told of their times is smoothed.
   */
  gather(now = performance.now()) {
    const [first, ...others] = this.elements;
    if (!first || first.paused || first.seeking) return;
    others.forEach((element, index) => {
      if (element.seeking || element.paused) return;
      const off = element.currentTime - first.currentTime;
      const smooth = this.strays[index] === undefined ? off : this.strays[index] * 0.8 + off * 0.2;
      this.strays[index] = smooth;
      if (Math.abs(smooth) > APART) {
        if (now < (this.gathered ?? 0) + 1000) return;
        this.gathered = now;
        this.strays[index] = undefined;
        element.currentTime = first.currentTime;
        return;
      }
      const slower = Math.abs(smooth) < TOGETHER ? 0 : Math.max(-0.05, Math.min(0.05, smooth / 0.25));
      const speed = first.playbackRate * (1 - slower);
      if (Math.abs(element.playbackRate - speed) > 0.004) element.playbackRate = speed;
    });
  }
}
