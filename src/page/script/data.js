// The lesson's data, and how its values are read, spoken and turned into time.

const lesson = JSON.parse(document.getElementById("lesson-data").textContent);

/** Ticks of a quarter note. */
const QUARTER = 960;

/** Flats and sharps as signs, for the eye. */
const pretty = (symbol) => symbol.replaceAll("b", "\u266d").replaceAll("#", "\u266f");

/** The same in a sentence. */
const prettyWords = (words) => words.replace(/\bb(?=\d)|(?<=\b[A-G])b/g, "\u266d").replace(/#/g, "\u266f");

/** What a note of a line is to its chord: a sign, and words. */
const roleOf = ([, , , , role]) => (role === null ? ["", ""] : lesson.roles[role]);

/** A chord symbol in its three pieces: root, kind, and the bass after a slash. */
function pieces(symbol) {
  const found = /^([A-G][b#]*)(.*?)(\/[A-G][b#]*)?$/.exec(symbol);
  return found ? [found[1], found[2], found[3] ?? ""] : [symbol, "", ""];
}

/** A chord symbol or note name as it is said aloud. */
function spoken(symbol) {
  if (symbol === null) return "no chord";
  const [root, kind, bass] = pieces(symbol);
  const words = kind
    .replace(/maj/g, " major ")
    .replace(/dim/g, " diminished ")
    .replace(/aug|\+/g, " augmented ")
    .replace(/sus/g, " suspended ")
    .replace(/m/g, (letter, at) => (/ma|im|om/.test(kind.slice(at - 1, at + 2)) ? letter : " minor "))
    .replace(/b/g, " flat ")
    .replace(/#/g, " sharp ");
  const signs = (name) => name.replaceAll("b", " flat").replaceAll("#", " sharp");
  return `${signs(root)}${words}${bass ? ` over ${signs(bass.slice(1))}` : ""}`.replace(/\s+/g, " ").trim();
}

/** Seconds in a take's files at a tick counted from tick 0 of the take. */
function secondsAt(take, tick) {
  let micros = 0;
  take.tempos.forEach(([at, tempo], index) => {
    const until = Math.min(tick, take.tempos[index + 1]?.[0] ?? Infinity);
    micros += Math.max(0, until - at) * tempo;
  });
  return take.lead / lesson.rate + micros / QUARTER / 1e6;
}

/** When each bar of a take begins in a file, in seconds, and at the end when the last one ends. */
function barTimes(take, sound) {
  const before = (sound.begins ?? 0) / lesson.rate;
  const score = lesson.scores[take.score];
  let tick = take.start;
  const starts = score.order.map((_, index) => {
    const start = tick;
    tick += lengthOf(score, barAt(score, index));
    return start;
  });
  return [...starts, tick].map((start) => secondsAt(take, start) - before);
}

/** The index of the last of some rising times that is not after a time; -1 before the first. */
function lastBefore(times, time) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** The chorus that a bar belongs to, counted from 0. */
const chorusOf = (score, bar) => Math.max(0, lastBefore(score.choruses, bar));

/** The first bar of a chorus and the bar after its last. */
const chorusBars = (score, chorus) => [score.choruses[chorus], score.choruses[chorus + 1] ?? score.order.length];

/** What a bar holds. */
const barAt = (score, index) => score.bars[score.order[index]];

/** Ticks of a bar: one of another meter than the score's says its own. */
const lengthOf = (score, bar) => bar.length ?? score.bar;

/** A bar, or from one to another, as it is said. */
function barRange(score, from, to) {
  const [first, last] = [from, to].map((bar) => barAt(score, bar).number);
  return from === to ? `bar ${first}` : `bars ${first} to ${last}`;
}

/** What is remembered of this lesson in this browser; where a browser forbids it, nothing is. */
const memory = {
  name: `countoff ${lesson.title}`,
  read() {
    try {
      return JSON.parse(localStorage.getItem(this.name)) ?? {};
    } catch {
      return {};
    }
  },
  write(changes) {
    try {
      localStorage.setItem(this.name, JSON.stringify({ ...this.read(), ...changes }));
    } catch {
      // Private windows and full stores: the page works without.
    }
  },
};
