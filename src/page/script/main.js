// The music stand: everything together.

class Stand {
  constructor(root) {
    this.root = root;
    this.player = new Player();
    this.player.onEnd = () => this.showPlaying();
    this.player.onTrouble = () => {
      this.showPlaying();
      this.say("This file cannot be played here. Is it still beside the page?");
    };
    this.programme = new Programme((track) => {
      this.chooseTrack(track);
      this.play();
    });
    this.choices = {
      key: new Choice("Key", () => this.openTake()),
      tempo: new Choice("Tempo", () => this.openTake()),
      mix: new Choice("Mix", () => this.openTake()),
    };
    this.chart = new Chart((bar, extend) => this.touchBar(bar, extend));
    this.now = new Keyboard("now");
    this.next = new Keyboard("next");
    this.notes = new Notes((bar) => this.touchBar(bar, false));
    this.transport = new Transport(this);
    this.from = null;
    this.to = null;
    this.build();
    const remembered = memory.read();
    const track = lesson.tracks.findIndex((entry) => entry.name === remembered.track);
    this.chooseTrack(Math.max(0, track), remembered);
    this.frame();
  }

  build() {
    this.title = make("h2", { id: "piece", tabindex: "-1" });
    this.about = make("p", { class: "about" });
    this.chorusLine = make("p", { class: "chorus" });
    this.status = make("p", { class: "status", role: "status" });
    this.downloads = make("p", { class: "downloads" });
    this.hands = make("section", { class: "hands", "aria-label": "The hand" }, this.now.root, this.next.root);
    this.notesPart = make("details", { class: "notes-part" }, make("summary", {}, "Notes by name"), this.notes.root);
    this.staves = new Staves((measure) => this.touchBar(Math.max(0, this.staves.barOf(measure)), false));
    this.keys = new Keys(this.keyTable());
    this.root.append(
      make("div", { class: "heading" }, this.title, this.about),
      make("div", { class: "choices" }, this.choices.key.root, this.choices.tempo.root, this.choices.mix.root),
      this.downloads,
      this.chorusLine,
      this.chart.root,
      this.hands,
      this.staves.root,
      this.notesPart,
      this.keys.root,
    );
    this.root.hidden = false;
    document.body.classList.add("live");
    document.body.append(this.transport.root);
  }

  get take() {
    return this.takes.find((take) => take.key === this.choices.key.value && take.tempo === this.choices.tempo.value) ?? this.takes[0];
  }

  get takes() {
    return lesson.tracks[this.track].takes;
  }

  get score() {
    return lesson.scores[this.take.score];
  }

  chooseTrack(track, wish = this.wish()) {
    const changed = this.track !== track;
    this.track = track;
    if (changed) this.clearMarks();
    const { takes } = this;
    this.choices.key.offer(distinct(takes.map((take) => take.key)), wish.key, pretty);
    this.choices.tempo.offer(distinct(takes.map((take) => take.tempo)), wish.tempo);
    this.openTake(changed ? (wish.track === lesson.tracks[track].name ? (wish.bar ?? 0) : 0) : undefined, wish.mix);
  }

  /** What would be chosen again in another track. */
  wish() {
    return { key: this.choices.key.value, tempo: this.choices.tempo.value, mix: this.choices.mix.value };
  }

  /** Opens what is chosen, at a bar; where none is said, at the bar where the music is. */
  openTake(bar = this.bar ?? 0, mix = this.choices.mix.value) {
    const { take, score } = this;
    const entry = lesson.tracks[this.track];
    const mixes = take.sounds.filter((sound) => !sound.stem);
    this.stems = take.sounds.filter((sound) => sound.stem);
    const names = mixes.map(mixName);
    if (this.stems.length > 1) names.push("your own");
    this.choices.mix.offer(names, mix);
    this.own = this.choices.mix.value === "your own";
    const sounds = this.own ? this.stems : mixes.filter((sound) => mixName(sound) === this.choices.mix.value);
    this.sound = sounds[0];
    this.times = barTimes(take, this.sound);
    this.title.textContent = entry.name;
    this.about.textContent = [entry.about, `${score.choruses.length} ${score.choruses.length === 1 ? "chorus" : "choruses"}`].filter(Boolean).join(" \u00b7 ");
    this.downloads.replaceChildren(
      "Download: ",
      ...[...sounds.map((sound) => sound.path), ...take.files].flatMap((path, at) => [at ? " " : "", make("a", { href: path, download: true }, path.slice(path.lastIndexOf("/") + 1))]),
    );
    this.programme.mark(this.track);
    const stretch = stretchOf(score);
    this.strokes = strokesOf(score);
    this.hands.hidden = this.strokes.length === 0;
    this.notesPart.hidden = !stretch;
    this.staves.show(take.sheet);
    // Without staves the names are all that there is to read.
    if (take.sheet === undefined) this.notesPart.open = true;
    if (this.strokes.length) {
      this.now.lay(stretch);
      this.next.lay(stretch);
    }
    this.stretch = stretch;
    this.shown = null;
    this.stroke = null;
    this.bar = Math.min(bar, score.order.length - 1);
    this.transport.offer(this);
    const start = this.bar === 0 ? 0 : this.times[this.bar];
    this.player.open(sounds.map((sound) => sound.path), this.transport.volumes(), start);
    this.setRepeat();
    this.showPlace(start);
    memory.write({ track: entry.name, key: take.key, tempo: take.tempo, mix: this.choices.mix.value, bar: this.bar });
  }

  /** Draws everything for a time in the file. */
  showPlace(time) {
    const { score, times } = this;
    const bar = lastBefore(times, time + 0.0005);
    this.counting = bar < 0;
    const shownBar = Math.max(0, Math.min(bar, score.order.length - 1));
    const chorus = chorusOf(score, shownBar);
    if (this.shown !== chorus) this.showChorus(chorus);
    const length = times[shownBar + 1] - times[shownBar];
    const gone = bar < 0 ? 0 : Math.max(0, Math.min(1, (time - times[shownBar]) / length));
    const sounding = barAt(score, shownBar);
    const { chords } = sounding;
    const tick = gone * lengthOf(score, sounding);
    const slot = chords.findLastIndex(([at]) => at <= tick + 0.5);
    this.chart.mark(bar < 0 ? -1 : shownBar, slot, gone);
    this.notes.mark(bar < 0 ? -1 : shownBar, gone);
    this.staves.mark(bar < 0 ? -1 : shownBar, tick);
    this.transport.mark(time);
    this.bar = shownBar;
    this.showHands(shownBar, tick);
  }

  showChorus(chorus) {
    const { score } = this;
    this.shown = chorus;
    this.chart.show(score, chorus);
    this.notes.show(score, chorus, this.stretch);
    this.chart.bracket(this.from, this.to);
    this.chorusLine.textContent = score.choruses.length > 1 ? `Chorus ${chorus + 1} of ${score.choruses.length}` : "";
  }

  /** The hands at a time, and what they strike next that is another thing. */
  showHands(bar, tick) {
    const { strokes } = this;
    const here = strokes.findLastIndex((stroke) => stroke.bar < bar || (stroke.bar === bar && stroke.at <= tick + 0.5));
    if (strokes.length === 0 || here === this.stroke) return;
    this.stroke = here;
    const now = strokes[Math.max(0, here)];
    const next = strokes.slice(Math.max(0, here) + 1).find((stroke) => stroke.symbol !== now.symbol || stroke.notes !== now.notes);
    this.now.show(now.symbol, now.notes);
    this.next.show(next?.symbol, next?.notes ?? []);
  }

  frame() {
    if (this.player.playing) this.showPlace(this.player.position());
    requestAnimationFrame(() => this.frame());
  }

  play() {
    this.say("");
    this.player.play();
    this.showPlaying();
  }

  toggle() {
    if (this.player.playing) {
      this.player.pause();
      memory.write({ bar: this.bar });
      this.showPlaying();
    } else this.play();
  }

  showPlaying() {
    this.transport.showPlaying(this.player.playing);
  }

  goToBar(bar) {
    const target = Math.max(0, Math.min(bar, this.score.order.length - 1));
    this.goToTime(target === 0 && this.from === null ? 0 : this.times[target]);
  }

  goToTime(time) {
    this.player.goTo(time);
    this.showPlace(time);
    memory.write({ bar: this.bar });
  }

  /** A bar was clicked. */
  touchBar(bar, extend) {
    if (extend || this.marking) this.markBar(bar);
    else this.player.goTo(this.times[bar]);
    if (!extend && !this.marking) this.showPlace(this.times[bar]);
  }

  /** Marks the first bar of a repeat, then the last; a third time begins anew. */
  markBar(bar) {
    if (this.from === null || this.to !== null) {
      this.from = bar;
      this.to = null;
      this.say(`The repeat begins with bar ${barAt(this.score, bar).number}. Now the last bar.`);
    } else {
      [this.from, this.to] = [Math.min(this.from, bar), Math.max(this.from, bar)];
      this.marking = false;
      this.say(`Repeating ${barRange(this.score, this.from, this.to)}.`);
    }
    this.setRepeat();
  }

  setFirst() {
    this.from = this.bar;
    if (this.to !== null && this.to < this.from) this.to = null;
    this.setRepeat();
  }

  setLast() {
    this.from = Math.min(this.from ?? this.bar, this.bar);
    this.to = this.bar;
    this.setRepeat();
  }

  clearMarks() {
    this.from = null;
    this.to = null;
    this.marking = false;
    this.player.setRepeat(null);
  }

  setRepeat() {
    const { times, take, score } = this;
    this.from = this.from === null ? null : Math.min(this.from, score.order.length - 1);
    this.to = this.to === null ? null : Math.min(this.to, score.order.length - 1);
    this.chart.bracket(this.from, this.to);
    this.transport.showRepeat(this);
    if (this.from !== null && this.to !== null) {
      const silence = this.transport.wantsSilence ? times[this.to + 1] - times[this.to] : 0;
      this.player.setRepeat({ from: times[this.from], to: times[this.to + 1], silence });
      const here = this.player.position();
      if (here >= times[this.to + 1] || here < times[this.from]) this.goToTime(times[this.from]);
    } else if (take.loops) this.player.setRepeat({ from: 0, to: this.sound.frames / lesson.rate, silence: 0 });
    else this.player.setRepeat(null);
  }

  goToChorus(by) {
    const { score } = this;
    const chorus = Math.max(0, Math.min(score.choruses.length - 1, chorusOf(score, this.bar) + by));
    this.goToBar(score.choruses[chorus]);
  }

  stepTrack(by) {
    const count = lesson.tracks.length;
    this.chooseTrack((this.track + by + count) % count);
  }

  say(words) {
    this.transport.say(words);
  }

  keyTable() {
    return [
      [[" "], "play, pause", () => this.toggle()],
      [["ArrowLeft"], "a bar back", () => this.goToBar(this.bar - 1)],
      [["ArrowRight"], "a bar on", () => this.goToBar(this.bar + 1)],
      [["PageUp"], "a chorus back", () => this.goToChorus(-1)],
      [["PageDown"], "a chorus on", () => this.goToChorus(1)],
      [["Home"], "to the start", () => this.goToTime(0)],
      [["f", "["], "repeat from this bar", () => this.setFirst()],
      [["l", "]"], "repeat to this bar", () => this.setLast()],
      [["x", "\\"], "no repeat", () => this.transport.clear()],
      [["s"], "a bar of silence between rounds", () => this.transport.toggleSilence()],
      [["-"], "play slower", () => this.transport.changeSpeed(-5)],
      [["+", "="], "play faster, up to the file's tempo", () => this.transport.changeSpeed(5)],
      [["t"], "next tempo", () => this.choices.tempo.step(1)],
      [["k"], "next key", () => this.choices.key.step(1)],
      [["m"], "next mix", () => this.choices.mix.step(1)],
      [["n"], "next track", () => this.stepTrack(1)],
      [["p"], "track before", () => this.stepTrack(-1)],
      [["d"], "tick this track off", () => this.programme.tick(this.track)],
    ];
  }
}

if (lesson.tracks.length) new Stand(document.getElementById("stand"));
