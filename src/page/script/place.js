// The place in the file: a slider over a picture of how loud it is, with its bar lines.

/** The letters of a level, softest first. */
const LEVELS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
/** The picture's own units; it is stretched to the width that there is. */
const PICTURE = { width: 1000, height: 40 };

class Place {
  /** `onGo(seconds)` is told where to go. */
  constructor(onGo) {
    this.levels = draw("path", { class: "levels" });
    this.lines = draw("path", { class: "place-bars" });
    this.marked = draw("rect", { class: "place-marked", y: 0, height: PICTURE.height, width: 0 });
    this.picture = draw("svg", { viewBox: `0 0 ${PICTURE.width} ${PICTURE.height}`, preserveAspectRatio: "none", "aria-hidden": "true" }, this.marked, this.levels, this.lines);
    this.slider = make("input", { type: "range", min: 0, max: PICTURE.width, step: 1, value: 0, "aria-label": "Place", oninput: () => onGo((this.slider.value / PICTURE.width) * this.length) });
    this.root = make("div", { class: "place" }, this.picture, this.slider);
    this.length = 1;
  }

  /** Draws a file's levels and the lines of its bars, a taller one where a chorus begins. */
  show(sound, times, choruses) {
    this.length = sound.frames / lesson.rate;
    const { height } = PICTURE;
    const steps = [...sound.picture];
    const upper = steps.map((letter, index) => {
      const reach = (LEVELS.indexOf(letter) / 63) * (height / 2 - 4);
      return [(index / steps.length) * PICTURE.width, ((index + 1) / steps.length) * PICTURE.width, reach];
    });
    const there = upper.map(([from, to, reach]) => `L${from} ${height / 2 - reach}L${to} ${height / 2 - reach}`).join("");
    const back = upper.map(([from, to, reach]) => `L${to} ${height / 2 + reach}L${from} ${height / 2 + reach}`).reverse().join("");
    this.levels.setAttribute("d", `M0 ${height / 2}${there}${back}Z`);
    const few = times.length <= 140;
    const lines = times.flatMap((time, index) => {
      const opens = choruses.includes(index) || index === times.length - 1;
      return opens || few ? [`M${this.across(time)} ${opens ? 0 : height - 6}V${height}`] : [];
    });
    this.lines.setAttribute("d", lines.join(""));
  }

  across(time) {
    return ((time / this.length) * PICTURE.width).toFixed(1);
  }

  /** Marks a stretch of time, or none. */
  bracket(from, to) {
    this.marked.setAttribute("x", from === null ? 0 : this.across(from));
    this.marked.setAttribute("width", from === null ? 0 : this.across(to - from));
  }

  mark(time, words) {
    this.slider.value = Math.round((time / this.length) * PICTURE.width);
    if (this.words !== words) {
      this.words = words;
      this.slider.setAttribute("aria-valuetext", words);
    }
  }
}

/** Minutes and seconds. */
function clock(time) {
  const whole = Math.max(0, Math.floor(time));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
