// The notes: every bar a block on one keyboard axis, read downwards. A note stands at its key and
// its time, written as its name; the thread under it is how long it lasts.

/** Height of a beat, in the drawing's units. */
const BEAT_HEIGHT = 26;
/** Where the keys begin: left of them stand the chords. */
const NOTES_MARGIN = 62;

class Notes {
  constructor() {
    this.root = make("div", { class: "notes", role: "list" });
    this.blocks = [];
  }

  show(score, chorus, stretch) {
    const [first, end] = chorusBars(score, chorus);
    this.first = first;
    this.score = score;
    this.blocks = [];
    this.current = null;
    if (!stretch) {
      this.root.replaceChildren();
      return;
    }
    for (let index = first; index < end; index += 1) this.blocks.push(this.block(barAt(score, index), stretch));
    this.root.replaceChildren(...this.blocks.map((block) => block.element));
  }

  block(bar, stretch) {
    const { score } = this;
    const y = (tick) => (tick / score.beat) * BEAT_HEIGHT + 26;
    const height = y(score.bar) + 2;
    const width = NOTES_MARGIN + stretch.width;
    const now = make("div", { class: "now", "aria-hidden": "true" });
    const spokenNotes = [];
    const texts = [];
    const threads = [];
    const taken = [];
    const note = (at, length, pitch, name, role, kind) => {
      const x = NOTES_MARGIN + stretch.centre(pitch);
      // Names that would touch stand one under the other.
      const touches = taken.some(([other, when, low]) => when === at && !low && Math.abs(other - x) < 15);
      taken.push([x, at, touches]);
      const end = Math.min(y(at + length) - 3, height);
      threads.push(draw("line", { class: `thread ${kind}`, x1: x, x2: x, y1: y(Math.max(0, at)), y2: end }));
      const text = draw("text", { class: kind, x, y: y(Math.max(0, at)) + (touches ? 14 : 4) }, pretty(name.replace(/-?\d+$/, "")));
      if (role) text.append(draw("tspan", { class: "role", dx: 3, dy: "-0.4em" }, pretty(role)));
      texts.push(text);
    };
    for (const [at, length, symbol, hand] of bar.chords) {
      const notes = hand === null ? [] : score.hands[hand];
      notes.forEach(([pitch, name, , side]) => note(at, length, pitch, name, "", side === "R" ? "hand right" : "hand left"));
      texts.push(draw("text", { class: "symbol", x: 0, y: y(at) + 4 }, symbol === null ? "N.C." : pretty(symbol)));
      spokenNotes.push(`${spoken(symbol)}: ${notes.map(([, name]) => name).join(" ")}`);
    }
    const line = bar.line ?? [];
    line.forEach(([at, length, pitch, name, role]) => note(at, length, pitch, name, role, "line"));
    if (line.length) spokenNotes.push(`line: ${line.map(([, , , name, role]) => (role ? `${name} (${role})` : name)).join(" ")}`);
    const beats = Array.from({ length: Math.round(score.bar / score.beat) }, (_, beat) =>
      draw("line", { class: beat === 0 ? "bar-line" : "beat-line", x1: NOTES_MARGIN, x2: width, y1: y(beat * score.beat), y2: y(beat * score.beat) }),
    );
    const picture = draw(
      "svg",
      { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": `bar ${bar.number}. ${spokenNotes.join(". ")}` },
      ...lanes(stretch, y(0), height),
      ...beats,
      ...threads,
      ...texts,
      draw("text", { class: "note-bar-number", x: 0, y: 11 }, String(bar.number)),
    );
    const element = make("div", { class: "note-bar", role: "listitem" }, picture, now);
    return { element, now, share: (tick) => y(tick) / height };
  }

  /** Moves the line of now to a place in a bar: `gone` is how much of it has gone by, 0 to 1. */
  mark(bar, gone) {
    const block = this.blocks[bar - this.first];
    if (block !== this.current) {
      this.current?.element.classList.remove("sounding");
      block?.element.classList.add("sounding");
      this.current = block;
    }
    if (block) block.now.style.transform = `translateY(${(block.share(gone * this.score.bar) * 100).toFixed(2)}%)`;
  }
}

/** The black keys as faint stripes, and a line at every C. */
function lanes(stretch, top, bottom) {
  const stripes = [];
  for (const pitch of stretch.keys()) {
    const x = NOTES_MARGIN + stretch.centre(pitch);
    if (isBlack(pitch)) stripes.push(draw("rect", { class: "lane", x: x - stretch.white * 0.3, y: top, width: stretch.white * 0.6, height: bottom - top }));
    if (pitch % 12 === 0) stripes.push(draw("line", { class: "octave", x1: x - stretch.white / 2, x2: x - stretch.white / 2, y1: top - 12, y2: bottom }));
    if (pitch % 12 === 0) stripes.push(draw("text", { class: "octave-name", x: x - stretch.white / 2 + 2, y: top - 10 }, `C${pitch / 12 - 1}`));
  }
  return stripes;
}
