// The bar at the foot of the page: playing, the place, the repeat, the speed, the parts.

class Transport {
  constructor(stand) {
    this.stand = stand;
    this.button = make("button", { type: "button", class: "play", onclick: () => stand.toggle() });
    this.place = new Place((time) => stand.goToTime(time));
    this.time = make("output", { class: "time" });
    this.first = make("button", { type: "button", onclick: () => stand.setFirst() }, "from here");
    this.last = make("button", { type: "button", onclick: () => stand.setLast() }, "to here");
    this.marker = make("button", { type: "button", "aria-pressed": "false", onclick: () => this.toggleMarking() }, "mark bars");
    this.none = make("button", { type: "button", onclick: () => this.clear() }, "none");
    this.silence = make("input", { type: "checkbox", onchange: () => this.silenceChanged() });
    this.silence.checked = memory.read().silence === true;
    this.repeatWords = make("output", { class: "repeat-words" });
    this.speed = make("input", { type: "range", min: 50, max: 100, step: 5, value: 100, "aria-label": "Speed in per cent", oninput: () => this.speedChanged() });
    this.speedWords = make("output", { class: "speed-words" });
    this.faders = make("div", { class: "faders", hidden: true });
    this.status = make("p", { class: "status", role: "status" });
    this.root = make(
      "section",
      { class: "transport", "aria-label": "Player" },
      make("div", { class: "travel" }, this.button, this.place.root, this.time),
      make(
        "div",
        { class: "tools" },
        make("span", { class: "tool", role: "group", "aria-label": "Repeat" }, make("span", { class: "tool-name" }, "Repeat"), this.marker, this.first, this.last, this.none, this.repeatWords, make("label", {}, this.silence, " bar of silence between")),
        make("span", { class: "tool", role: "group", "aria-label": "Speed" }, make("span", { class: "tool-name" }, "Speed"), this.speed, this.speedWords),
      ),
      this.faders,
      this.status,
    );
    this.showPlaying(false);
    this.speedChanged();
  }

  /** Takes over what a newly opened take has. */
  offer(stand) {
    this.place.show(stand.own ? stand.take.sounds[0] : stand.sound, stand.times, stand.score.choruses);
    const wanted = stand.own ? stand.stems.map(mixName).join() : "";
    if (wanted !== this.fadersFor) {
      this.fadersFor = wanted;
      this.sliders = stand.own ? stand.stems.map(() => make("input", { type: "range", min: 0, max: 100, value: 100, oninput: () => stand.player.setVolumes(this.volumes()) })) : [];
      this.faders.replaceChildren(...this.sliders.map((slider, index) => make("label", {}, make("span", {}, stand.stems[index].mix.replace(/^only |^stem /, "")), slider)));
      this.faders.hidden = !stand.own;
    }
  }

  /** How loud each part is, 0 to 1. */
  volumes() {
    return (this.sliders ?? []).map((slider) => (slider.value / 100) ** 2);
  }

  mark(time) {
    const words = `${clock(time)} / ${clock(this.place.length)}`;
    if (this.time.textContent !== words) this.time.textContent = words;
    this.place.mark(time, `${clock(time)}, bar ${barAt(this.stand.score, this.stand.bar ?? 0).number}`);
  }

  showPlaying(playing) {
    this.button.textContent = playing ? "pause" : "play";
    this.button.classList.toggle("playing", playing);
  }

  get wantsSilence() {
    return this.silence.checked;
  }

  toggleSilence() {
    this.silence.checked = !this.silence.checked;
    this.silenceChanged();
  }

  silenceChanged() {
    memory.write({ silence: this.silence.checked });
    this.stand.setRepeat();
  }

  toggleMarking() {
    this.stand.marking = !this.stand.marking;
    if (this.stand.marking) this.say("Now the first bar, then the last.");
    this.showRepeat(this.stand);
  }

  clear() {
    this.stand.clearMarks();
    this.stand.setRepeat();
    this.say("");
  }

  showRepeat(stand) {
    this.marker.setAttribute("aria-pressed", String(Boolean(stand.marking)));
    const number = (bar) => barAt(stand.score, bar).number;
    const chorus = (bar) => (stand.score.choruses.length > 1 ? ` of chorus ${chorusOf(stand.score, bar) + 1}` : "");
    if (stand.from === null) this.repeatWords.textContent = stand.take.loops ? "all of it" : "";
    else if (stand.to === null) this.repeatWords.textContent = `from bar ${number(stand.from)}`;
    else this.repeatWords.textContent = `${barRange(stand.score, stand.from, stand.to)}${chorus(stand.to)}`;
    this.none.hidden = stand.from === null;
    this.place.bracket(stand.from === null ? null : stand.times[stand.from], stand.times[(stand.to ?? stand.from) + 1]);
  }

  changeSpeed(by) {
    this.speed.value = Number(this.speed.value) + by;
    this.speedChanged();
  }

  speedChanged() {
    const share = Number(this.speed.value);
    this.stand.player.setSpeed(share / 100);
    this.speedWords.textContent = share === 100 ? "as recorded" : `${share} %, approximate: stretched by the browser`;
  }

  say(words) {
    this.status.textContent = words;
  }
}
