// The chart: one chorus, bar by bar, over a rail that fills as the bar goes by.

class Chart {
  /** `onBar(bar, extend)` is told of a click, with or without the shift key. */
  constructor(onBar) {
    this.root = make("div", { class: "chart", role: "group", "aria-label": "Chart" });
    this.onBar = onBar;
    this.cells = [];
  }

  /** Shows a chorus of a score. */
  show(score, chorus) {
    this.score = score;
    const [first, end] = chorusBars(score, chorus);
    this.first = first;
    this.cells = [];
    this.current = null;
    const lines = [];
    for (let index = first; index < end; index += 1) {
      const bar = barAt(score, index);
      const line = lines.at(-1);
      const breaks = !line || line.bars === 4 || bar.section || bar.kind === "ending" || bar.kind === "announce" || (bar.kind ?? "") !== line.kind;
      if (breaks) {
        const element = make("div", { class: `line ${bar.section ? "opens" : ""}` });
        lines.push({ element, bars: 0, kind: bar.kind ?? "" });
        element.append(make("span", { class: "margin" }, bar.section ? make("span", { class: "section" }, bar.section) : "", bar.key ? make("span", { class: "new-key" }, pretty(bar.key)) : ""));
      }
      const cell = this.cell(bar, index);
      this.cells.push(cell);
      lines.at(-1).element.append(cell.element);
      lines.at(-1).bars += 1;
    }
    this.root.replaceChildren(...lines.map((line) => line.element));
  }

  cell(bar, index) {
    const { score } = this;
    const chords = bar.chords.map(([at, , symbol]) => {
      const chord = chordType(symbol);
      chord.style.gridColumnStart = 1 + Math.round((at * 4) / score.beat);
      return chord;
    });
    const words = { answer: "your turn", announce: "the next key", ending: "ending", drums: "drums" }[bar.kind];
    const ticks = lengthOf(score, bar);
    const label = `bar ${bar.number}, ${bar.chords.map(([, , symbol]) => spoken(symbol)).join(", ")}${words ? `, ${words}` : ""}`;
    const beats = Math.round(ticks / score.beat);
    const element = make(
      "button",
      {
        type: "button",
        class: `bar ${bar.kind ?? ""}`,
        "aria-label": label,
        "data-bar": index,
        "data-chords": Math.min(4, Math.round(ticks / Math.min(...bar.chords.map(([, length]) => length)))),
        style: `--beats: ${beats}`,
        onclick: (event) => this.onBar(index, event.shiftKey),
      },
      make("span", { class: "bar-number" }, String(bar.number)),
      words ? make("span", { class: "bar-word" }, words) : "",
      make("span", { class: "chords" }, ...chords),
      make("span", { class: "rail" }, make("span", { class: "gone" })),
    );
    return { element, chords, gone: element.querySelector(".gone") };
  }

  /** Marks where the music is: a bar, the chord in it, and how much of the bar has gone by. */
  mark(bar, slot, gone) {
    const cell = this.cells[bar - this.first];
    if (cell !== this.current) {
      if (this.current) {
        this.current.element.removeAttribute("aria-current");
        this.current.gone.style.transform = "scaleX(0)";
        this.current.chords.forEach((chord) => chord.classList.remove("sounding"));
      }
      this.current = cell;
      this.slot = null;
      cell?.element.setAttribute("aria-current", "true");
    }
    if (!cell) return;
    if (this.slot !== slot) {
      cell.chords.forEach((chord, index) => chord.classList.toggle("sounding", index === slot));
      this.slot = slot;
    }
    cell.gone.style.transform = `scaleX(${gone.toFixed(4)})`;
  }

  /** Marks the bars that are repeated; `from` and `to` are bars, both included, or null. */
  bracket(from, to) {
    this.cells.forEach((cell, index) => {
      const bar = this.first + index;
      const inside = from !== null && bar >= from && bar <= (to ?? from);
      cell.element.classList.toggle("repeated", inside);
      cell.element.classList.toggle("repeat-first", inside && bar === from);
      cell.element.classList.toggle("repeat-last", inside && bar === to);
    });
  }
}
