// The notes on staves, as they are played, the sounding ones marked.

class Staves {
  /** `onMeasure(measure)` is told of a click on a note. */
  constructor(onMeasure) {
    this.root = make("div", { class: "staves" });
    this.root.addEventListener("click", ({ target }) => {
      const note = target.closest(".note");
      if (note) onMeasure(Number(note.dataset.note.split(" ")[0]));
    });
    const signs = Object.entries(lesson.staves.signs).map(([name, path]) => draw("path", { id: name, d: path }));
    document.body.append(draw("svg", { class: "signs", "aria-hidden": "true" }, draw("defs", {}, ...signs)));
  }

  /** Shows a sheet, or none. */
  show(index) {
    if (this.index === index) return;
    this.index = index;
    this.sheet = lesson.staves.sheets[index];
    this.sounding = [];
    this.measures = new Map();
    this.root.hidden = !this.sheet;
    if (!this.sheet) return;
    const { view, body } = this.sheet;
    const names = `xmlns="http://www.w3.org/2000/svg"`;
    // Numbers and names of signs, made by the program: no text of the lesson is in it.
    const parsed = new DOMParser().parseFromString(`<svg ${names}>${body}</svg>`, "image/svg+xml");
    const picture = draw("svg", { viewBox: view, role: "img", "aria-label": "The notes of the hands, engraved; the same notes are told by name below" });
    picture.append(...document.adoptNode(parsed.documentElement).childNodes);
    for (const element of picture.querySelectorAll(".note")) {
      const [measure, at, length] = element.dataset.note.split(" ").map(Number);
      if (!this.measures.has(measure)) this.measures.set(measure, []);
      this.measures.get(measure).push({ element, at, end: at + length });
    }
    this.root.replaceChildren(picture);
  }

  /** Marks what sounds at a tick of a bar; nothing before the first bar. */
  mark(bar, tick) {
    if (!this.sheet) return;
    const notes = this.measures.get(this.sheet.measures[bar]) ?? [];
    const now = notes.filter(({ at, end }) => at <= tick + 0.5 && tick + 0.5 < end);
    for (const note of this.sounding) if (!now.includes(note)) note.element.classList.remove("sounding");
    for (const note of now) note.element.classList.add("sounding");
    this.sounding = now;
  }

  /** The first bar that is played from a measure. */
  barOf(measure) {
    return this.sheet.measures.indexOf(measure);
  }
}
