// Choosing: the track, its key, tempo and mix.

/** A row of choices of which one holds, as words in a line. */
class Choice {
  constructor(name, onChange) {
    this.name = name;
    this.onChange = onChange;
    this.items = make("div", { class: "items" });
    this.root = make("fieldset", { class: "choice" }, make("legend", {}, name), this.items);
    this.values = [];
  }

  /** Offers values; with only one there is nothing to choose, and it is only told. */
  offer(values, chosen, label = (value) => value) {
    this.values = values;
    this.value = values.includes(chosen) ? chosen : values[0];
    this.root.hidden = values.length === 0;
    this.items.replaceChildren(
      ...values.map((value) => {
        const input = make("input", { type: "radio", name: `choose-${this.name}`, value, onchange: () => this.choose(value) });
        input.checked = value === this.value;
        return make("label", {}, input, make("span", {}, label(value)));
      }),
    );
    return this.value;
  }

  choose(value) {
    this.value = value;
    for (const input of this.items.querySelectorAll("input")) input.checked = input.value === value;
    this.onChange(value);
  }

  /** The next value, or, with -1, the one before. */
  step(by) {
    const count = this.values.length;
    if (count < 2) return;
    this.choose(this.values[(this.values.indexOf(this.value) + by + count) % count]);
  }
}

/** Values in the order in which they first come. */
const distinct = (values) => [...new Set(values)];

/** Whether there is room for one column only. */
const isNarrow = () => !matchMedia("(min-width: 60rem)").matches;

/** How a mix is called. */
const mixName = (sound) => (sound.mix === "" ? "all" : sound.mix);

/** The list of tracks: a button to play each, a box to tick off what is practised. */
class Programme {
  constructor(onChoose) {
    const done = new Set(memory.read().done ?? []);
    this.items = [...document.querySelectorAll(".track")];
    this.boxes = [];
    this.fold = document.querySelector(".fold");
    // On a phone the music comes first.
    if (isNarrow()) this.fold.open = false;
    this.items.forEach((item, index) => {
      const name = item.querySelector(".name");
      const button = make("button", { type: "button", class: "name", onclick: () => onChoose(index) }, name.textContent);
      name.replaceWith(button);
      const key = lesson.tracks[index].name;
      const box = make("input", {
        type: "checkbox",
        "aria-label": `practised: ${key}`,
        title: "practised",
        onchange: () => {
          if (box.checked) done.add(key);
          else done.delete(key);
          memory.write({ done: [...done].sort() });
        },
      });
      box.checked = done.has(key);
      this.boxes.push(box);
      item.querySelector(".track-line").append(box);
    });
  }

  mark(index) {
    if (isNarrow() && this.marked !== undefined && this.marked !== index) this.fold.open = false;
    this.marked = index;
    this.items.forEach((item, at) => {
      const button = item.querySelector("button.name");
      if (at === index) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
    });
  }

  /** Ticks a track off, or takes the tick away. */
  tick(index) {
    this.boxes[index].click();
  }
}
