// The hand on a keyboard: what is played now, and what comes next.

/** Which of the twelve are black keys. */
const isBlack = (pitch) => [1, 3, 6, 8, 10].includes(pitch % 12);

/** A stretch of keyboard, with places for its keys. White keys are `white` wide. */
class Stretch {
  constructor(low, high, white = 20) {
    while (isBlack(low)) low -= 1;
    while (isBlack(high)) high += 1;
    this.low = low;
    this.high = high;
    this.white = white;
    this.width = this.centre(high) + white / 2;
  }

  /** How many white keys lie from the stretch's lowest up to a pitch, the pitch not counted. */
  whitesBelow(pitch) {
    let count = 0;
    for (let key = this.low; key < pitch; key += 1) if (!isBlack(key)) count += 1;
    return count;
  }

  /** The middle of a key, from the left end. */
  centre(pitch) {
    return this.whitesBelow(pitch) * this.white + (isBlack(pitch) ? 0 : this.white / 2);
  }

  *keys() {
    for (let key = this.low; key <= this.high; key += 1) yield key;
  }
}

/** The notes of a bar that somebody wrote, of both hands. */
const linesOf = (bar) => [...(bar.line ?? []), ...(bar.left ?? [])];

/**
 * What the hands hold, in the order in which it is struck: where, under which symbol, and the notes
 * as a voicing has them. A written left hand holds what it strikes and what still sounds then.
 */
function strokesOf(score) {
  return score.order.flatMap((_, index) => {
    const bar = barAt(score, index);
    if (!bar.left) return bar.chords.filter(([, , , hand]) => hand !== null).map(([at, , symbol, hand]) => ({ bar: index, at, symbol, notes: score.hands[hand] }));
    return distinct(bar.left.map(([at]) => at)).map((at) => ({
      bar: index,
      at: Math.max(0, at),
      symbol: bar.chords.findLast(([begins]) => begins <= Math.max(0, at))[2],
      notes: bar.left.filter(([begins, length]) => begins <= at && begins + length > at).map((note) => [note[2], note[3], roleOf(note)[0], "L"]),
    }));
  });
}

/** The stretch that holds all notes of a score, an octave and a half at least. */
function stretchOf(score) {
  const pitches = [...score.hands.flat().map((note) => note[0]), ...score.bars.flatMap((bar) => linesOf(bar).map((note) => note[2]))];
  if (pitches.length === 0) return null;
  const low = Math.min(...pitches) - 1;
  return new Stretch(low, Math.max(Math.max(...pitches) + 1, low + 18));
}

/** A keyboard that shows one hand position after the other. */
class Keyboard {
  constructor(title) {
    this.title = title;
    this.heading = make("figcaption", { class: "hand-title" });
    this.picture = draw("svg", { role: "img", class: "keyboard", preserveAspectRatio: "xMinYMid" });
    this.root = make("figure", { class: "hand" }, this.heading, this.picture);
  }

  /** Draws the keys of a stretch. */
  lay(stretch) {
    this.stretch = stretch;
    const { white } = stretch;
    const height = white * 3.6;
    this.picture.setAttribute("viewBox", `0 0 ${stretch.width} ${height + 4}`);
    this.keys = new Map();
    const whites = [];
    const blacks = [];
    for (const pitch of stretch.keys()) {
      const black = isBlack(pitch);
      const x = stretch.centre(pitch) - (black ? white * 0.31 : white / 2);
      const key = draw("rect", { class: black ? "black" : "white", x, y: 1, width: black ? white * 0.62 : white, height: black ? height * 0.6 : height });
      (black ? blacks : whites).push(key);
      this.keys.set(pitch, key);
    }
    const middle = stretch.low <= 60 && stretch.high >= 60 ? [draw("circle", { class: "middle-c", cx: stretch.centre(60), cy: height - 4, r: 1.6 })] : [];
    this.names = draw("g", { class: "names" });
    this.picture.replaceChildren(...whites, ...blacks, ...middle, this.names);
    this.held = [];
  }

  /** Shows a hand position under a chord symbol. */
  show(symbol, notes) {
    this.held.forEach((key) => key.classList.remove("left", "right"));
    const { stretch } = this;
    this.held = notes.map(([pitch, , , hand]) => {
      const key = this.keys.get(pitch);
      key?.classList.add(hand === "R" ? "right" : "left");
      return key;
    });
    this.held = this.held.filter(Boolean);
    const { white } = stretch;
    const labels = notes.map(([pitch, name]) =>
      draw("text", { x: stretch.centre(pitch), y: isBlack(pitch) ? white * 1.85 : white * 3.2, class: isBlack(pitch) ? "on-black" : "" }, pretty(name.replace(/-?\d+$/, ""))),
    );
    this.names.replaceChildren(...labels);
    const spelled = notes.map(([, name, degree]) => (degree ? `${name} (${degree})` : name));
    const list = notes.map(([, name, degree]) => make("span", { class: "held-note" }, pretty(name), make("small", {}, pretty(degree))));
    this.heading.replaceChildren(make("span", { class: "when" }, this.title), symbol === undefined ? "" : chordType(symbol), ...list);
    this.picture.setAttribute("aria-label", symbol === undefined ? `${this.title}: nothing` : `${this.title}: ${spoken(symbol)}: ${spelled.join(", ") || "no notes"}`);
  }
}
