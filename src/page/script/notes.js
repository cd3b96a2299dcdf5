// The notes: every bar a block on one keyboard axis, read downwards. A note stands at its key and
// its time, written as its name; the thread under it is how long it lasts.

/** Height of a beat, in pixels: two eighth notes must be read one under the other. */
const BEAT_HEIGHT = 30;
/** Where the keys begin: left of them stand the chords. */
const NOTES_MARGIN = 62;
/** Room right of the keys for the sign of the highest note. */
const NOTES_END = 20;
/** The narrowest white key, and the widest, between which names can be read. */
const WHITE = { least: 11, most: 18 };
/** Between two blocks, as the style sheet has it. */
const NOTES_GAP = 28;

/** What the signs beside a line's notes mean: how they look, and what is said of them. */
const SIGNS = [
  [/^[b#]*\d+$/, "3", "a tone of the chord"],
  [/^\(/, "(4)", "a step of the scale"],
  [/^~/, "~3", "blue note of the key: its blue third"],
  [/^[\u2191\u2193]/, "\u21913 \u21933", "leads up, down into the third"],
  [/^[b#]*\d+\//, "3/C", "of the seventh chord on C"],
  [/^\//, "/C", "of a triad or of fourths on C"],
  [/^[\u2460-\u2463]/, "\u2460", "first of a shape that comes again"],
  [/^\u2013/, "\u2013", "on its way"],
];

class Notes {
  /** `onBar(bar)` is told of a click. */
  constructor(onBar) {
    this.onBar = onBar;
    this.legend = make("p", { class: "legend" });
    this.words = make("ol", { class: "note-words", "aria-label": "The line's notes in this bar" });
    this.bars = make("div", { class: "notes", role: "list" });
    this.root = make("div", {}, this.legend, this.words, this.bars);
    this.blocks = [];
    this.items = [];
    new ResizeObserver(() => {
      if (this.stretch && this.bars.clientWidth !== this.width) this.lay();
    }).observe(this.bars);
  }

  show(score, chorus, stretch) {
    [this.first, this.end] = chorusBars(score, chorus);
    this.score = score;
    this.stretch = stretch;
    this.marked = null;
    [this.blocks, this.items] = [[], []];
    if (!stretch) return;
    this.lay();
    const signs = score.bars.flatMap((bar) => linesOf(bar).map((note) => roleOf(note)[0]));
    const used = SIGNS.filter(([looks]) => signs.some((sign) => looks.test(sign)));
    this.legend.replaceChildren(...used.map(([, sign, words]) => make("span", {}, make("b", {}, sign), ` ${words}`)));
    this.legend.hidden = used.length === 0;
    this.words.hidden = used.length === 0;
    this.tell(this.first);
  }

  /** Draws the blocks as wide as there is room for, so that names stand at their own size. */
  lay() {
    const { low, high, width } = this.stretch;
    this.width = this.bars.clientWidth;
    const room = this.width || 640;
    const whites = width / this.stretch.white;
    const least = NOTES_MARGIN + NOTES_END + whites * WHITE.least;
    const columns = Math.max(1, Math.floor((room + NOTES_GAP) / (least + NOTES_GAP)));
    const column = (room - (columns - 1) * NOTES_GAP) / columns;
    const white = Math.min(WHITE.most, (column - NOTES_MARGIN - NOTES_END) / whites);
    const stretch = new Stretch(low, high, white);
    this.bars.style.setProperty("--columns", columns);
    this.bars.style.setProperty("--least", `${least}px`);
    this.blocks = [];
    this.current = null;
    for (let index = this.first; index < this.end; index += 1) this.blocks.push(this.block(barAt(this.score, index), index, stretch));
    this.bars.replaceChildren(...this.blocks.map((block) => block.element));
    if (this.marked) this.mark(...this.marked);
  }

  /** Tells in words what the line's notes in a bar are. */
  tell(bar) {
    this.told = bar;
    const over = this.score.bars.some((each) => each.line) ? "line" : "left";
    const notes = barAt(this.score, bar)[over] ?? [];
    this.items = notes.map((note) => [note[0], make("li", {}, make("b", {}, pretty(note[3])), ` ${prettyWords(roleOf(note)[1])}`)]);
    this.words.replaceChildren(...this.items.map(([, item]) => item));
  }

  block(bar, index, stretch) {
    const { score } = this;
    const y = (tick) => (tick / score.beat) * BEAT_HEIGHT + 26;
    const ticks = lengthOf(score, bar);
    const height = y(ticks) + 2;
    const width = NOTES_MARGIN + stretch.width + NOTES_END;
    const now = make("div", { class: "now", "aria-hidden": "true" });
    const spokenNotes = [];
    const texts = [];
    const threads = [];
    const taken = [];
    const note = (at, length, pitch, name, role, kind) => {
      const x = NOTES_MARGIN + stretch.centre(pitch);
      // Names that would touch stand one under the other.
      const touches = taken.some(([other, when, low]) => when === at && !low && Math.abs(other - x) < 17);
      taken.push([x, at, touches]);
      const end = Math.min(y(at + length) - 3, height);
      threads.push(draw("line", { class: `thread ${kind}`, x1: x, x2: x, y1: y(Math.max(0, at)), y2: end }));
      const text = draw("text", { class: kind, x, y: y(Math.max(0, at)) + (touches ? 14 : 4) }, pretty(name.replace(/-?\d+$/, "")));
      if (role[0]) text.append(draw("tspan", { class: "role", dx: 3, dy: "-0.4em" }, pretty(role[0])), draw("title", {}, `${pretty(name)}: ${prettyWords(role[1])}`));
      texts.push(text);
    };
    for (const [at, length, symbol, hand] of bar.chords) {
      const notes = hand === null ? [] : score.hands[hand];
      notes.forEach(([pitch, name, , side]) => note(at, length, pitch, name, ["", ""], side === "R" ? "hand right" : "hand left"));
      texts.push(draw("text", { class: "symbol", x: 0, y: y(at) + 4 }, symbol === null ? "N.C." : pretty(symbol)));
      spokenNotes.push(`${spoken(symbol)}: ${notes.map(([, name]) => name).join(" ")}`);
    }
    for (const [kind, called, notes] of [["line", "line", bar.line], ["hand left", "left hand", bar.left]]) {
      notes?.forEach((written) => note(written[0], written[1], written[2], written[3], roleOf(written), kind));
      if (notes) spokenNotes.push(`${called}: ${notes.map((written) => [written[3], roleOf(written)[1]].filter(Boolean).join(" ")).join(", ")}`);
    }
    const beats = Array.from({ length: Math.round(ticks / score.beat) }, (_, beat) =>
      draw("line", { class: beat === 0 ? "bar-line" : "beat-line", x1: NOTES_MARGIN, x2: NOTES_MARGIN + stretch.width, y1: y(beat * score.beat), y2: y(beat * score.beat) }),
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
    const element = make("div", { class: "note-bar", role: "listitem", style: `max-width: ${width}px`, onclick: () => this.onBar(index) }, picture, now);
    return { element, now, share: (tick) => y(tick) / height };
  }

  /** Moves the line of now to a place in a bar: `gone` is how much of it has gone by, 0 to 1. */
  mark(bar, gone) {
    if (!this.stretch) return;
    this.marked = [bar, gone];
    const block = this.blocks[bar - this.first];
    if (block !== this.current) {
      this.current?.element.classList.remove("sounding");
      block?.element.classList.add("sounding");
      this.current = block;
    }
    const tick = gone * (bar < 0 ? 0 : lengthOf(this.score, barAt(this.score, bar)));
    if (bar >= 0 && bar !== this.told) this.tell(bar);
    const struck = this.items.findLast(([at]) => at <= tick + 0.5)?.[0];
    for (const [at, item] of this.items) item.classList.toggle("sounding", bar >= 0 && at === struck);
    if (block) block.now.style.transform = `translateY(${(block.share(tick) * 100).toFixed(2)}%)`;
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
