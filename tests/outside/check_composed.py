"""Composed lines, as `countoff explain --json` tells them, against music21's scales and chords.

    python check_composed.py COUNTOFF_PROGRAM [SEEDS]

Several charts, every technique, so many seeds of each. What a chord's tones are, which notes a
named scale has and which chords are diatonic is music21's word; the rules are those of the trade.
"""

import functools
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import music21
from music21 import harmony, interval, pitch, scale

CHARTS = {
    "major cadence": ("C", "4/4", "| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | C6 | % |"),
    "minor cadence": ("Gm", "4/4", "| Am7b5 | D7b9 | Gm6 | % |"),
    "blues": ("F", "4/4", "| F7 | Bb7 | F7 | % | Bb7 | % | F7 | D7 | Gm7 | C7 | F7 D7 | Gm7 C7 |"),
    "changes": ("Bb", "4/4", "| Bb6 Gm7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Bbmaj7 | Ebmaj7 | Bb6 | % |"),
    "colours": ("Eb", "4/4", "| Bb7sus4 | Edim7 | Fm7 | Abmaj7 | Db7#11 | Ebmaj7 |"),
    "waltz": ("Em", "3/4", "| F#m7b5 | B7b9 | Em6 | Am7 | B7 | Em7 |"),
}
TECHNIQUES = (
    "scale-runs chord-outlines root-cells blues key-sevenths lower-neighbours upper-neighbours "
    "pentatonics enclosures ninth-arpeggios double-approaches chord-scales triad-pairs "
    "fourth-stacks shifted-shapes"
).split()
ON_STRONG_BEATS = "scale-runs chord-outlines lower-neighbours upper-neighbours enclosures".split()
DELAYING = {"lower-neighbour", "upper-neighbour", "enclosure", "approach"}

# Scales that music21 has, those that are modes of its minor scales (by the interval from the root
# down to the tonic, or up), and those that are one of these with notes added or left out.
SCALES = {
    "ionian": scale.MajorScale,
    "dorian": scale.DorianScale,
    "phrygian": scale.PhrygianScale,
    "lydian": scale.LydianScale,
    "mixolydian": scale.MixolydianScale,
    "aeolian": scale.MinorScale,
    "locrian": scale.LocrianScale,
    "melodic minor": scale.MelodicMinorScale,
    "harmonic minor": scale.HarmonicMinorScale,
    "whole tone": scale.WholeToneScale,
}
MODES = {
    "dorian b2": ("melodic minor", "-M2"),
    "lydian augmented": ("melodic minor", "-m3"),
    "lydian dominant": ("melodic minor", "-P4"),
    "mixolydian b6": ("melodic minor", "-P5"),
    "locrian nat 2": ("melodic minor", "-M6"),
    "altered": ("melodic minor", "m2"),
    "phrygian dominant": ("harmonic minor", "-P5"),
}
CHANGED = {
    "bebop dominant": ("mixolydian", ["M7"], []),
    "bebop major": ("ionian", ["A5"], []),
    "bebop dorian": ("dorian", ["M3"], []),
    "bebop melodic minor": ("melodic minor", ["A5"], []),
    "bebop minor": ("dorian", ["M7"], []),
    "bebop locrian": ("locrian", ["P5"], []),
    "bebop harmonic minor": ("aeolian", ["M7"], []),
    "harmonic major": ("ionian", ["m6"], ["M6"]),
    "major pentatonic": ("ionian", [], ["P4", "M7"]),
    "minor pentatonic": ("aeolian", [], ["M2", "m6"]),
    "blues": ("aeolian", ["d5"], ["M2", "m6"]),
    "major blues": ("ionian", ["m3"], ["P4", "M7"]),
}
EIGHT_BY_TURNS = {"diminished whole-half": "M2", "diminished half-whole": "m2"}


def named(note):
    """A note name as music21 writes it."""
    return note.replace("b", "-")


@functools.cache
def scale_notes(root, name):
    """The pitch classes of a scale, ascending from its root."""
    root = pitch.Pitch(named(root) + "3")
    up = lambda by: root.transpose(by).pitchClass
    if name in CHANGED:
        base, added, left_out = CHANGED[name]
        notes = set(scale_notes(root.name.replace("-", "b"), base))
        notes = (notes - {up(by) for by in left_out}) | {up(by) for by in added}
    elif name in EIGHT_BY_TURNS:
        second = root.transpose(EIGHT_BY_TURNS[name])
        of = scale.OctatonicScale(root, EIGHT_BY_TURNS[name])
        notes = {note.pitchClass for note in of.getPitches(root, root.transpose("P8"))}
        assert second.pitchClass in notes, name
    else:
        base, tonic = name, root
        if name in MODES:
            base, by = MODES[name]
            tonic = root.transpose(interval.Interval(by))
        of = SCALES[base](tonic)
        notes = {note.pitchClass for note in of.getPitches(root, root.transpose("P8"), direction=scale.Direction.ASCENDING)}
    return sorted(notes, key=lambda note: (note - root.pitchClass) % 12)


@functools.cache
def chord_symbol(figure):
    """music21's chord; its reader wants flats as `-`, and has no altered dominants by symbol."""
    root = figure[:2] if figure[1:2] in "#b" else figure[:1]
    return harmony.ChordSymbol(named(root) + figure[len(root):])


@functools.cache
def own_tones(figure):
    """Root, third or suspension, fifth, and sixth or seventh, as pitch classes."""
    chord = chord_symbol(figure)
    third = chord.getChordStep(3) or chord.getChordStep(4)
    steps = [chord.root(), third, *(chord.getChordStep(step) for step in (5, 6, 7))]
    return {tone.pitchClass for tone in steps if tone is not None}


@functools.cache
def semitones(degree):
    """Semitones of a degree such as `b7` or `#11` above its root, as music21 counts intervals."""
    number = int(degree.lstrip("b#"))
    generic = interval.GenericInterval(number)
    plain = interval.intervalFromGenericAndChromatic(generic, scale_step(number))
    return plain.semitones + degree.count("#") - degree.count("b")


def scale_step(number):
    major = scale.MajorScale("C4").pitchFromDegree((number - 1) % 7 + 1)
    return interval.Interval(pitch.Pitch("C4"), major).semitones + 12 * ((number - 1) // 7)


class Line:
    """One line of `explain --json`, with the time of everything in quarters from the start."""

    def __init__(self, told):
        beats, unit = map(int, told["meter"].split("/"))
        self.bar, self.beat = beats * 4 / unit, 4 / unit
        self.key = told["key"]
        self.pieces = told["pieces"]
        self.notes = told["notes"]
        for thing in [*self.pieces, *self.notes]:
            thing["at"] = (thing["bar"] - 1) * self.bar + (thing["beat"] - 1) * self.beat
        for note in self.notes:
            heard = self.heard_at(note)
            note["piece"] = next(p for p in reversed(self.pieces) if p["at"] <= heard + 1e-6)
        self.strong = {0.0, 2.0} if self.bar == 4 else {0.0}

    def heard_at(self, note):
        """An anticipation belongs to what it is held into: an eighth before it at most, as long in it as before."""
        end = note["at"] + note["length"]
        for change in (piece["at"] for piece in self.pieces):
            before = change - note["at"]
            if 1e-6 < before <= 0.5 + 1e-6 and end - change >= before - 1e-6:
                return change
        return note["at"]

    def groups(self, technique):
        found = {}
        for note in self.notes:
            if note["group"] is not None and note["piece"]["technique"] == technique:
                found.setdefault(note["group"], []).append(note)
        return [group for group in found.values() if len(group) > 1]

    def is_tone(self, note):
        return note["midi"] % 12 in own_tones(note["chord"])


def wrong_notes(line):
    """Rules for single notes: yields what breaks them."""
    notes = line.notes
    for note, after in zip(notes, [*notes[1:], None]):
        piece, pitch_class = note["piece"], note["midi"] % 12
        technique, role = piece["technique"], note["roles"][0]
        long = note["length"] > 0.5
        of_scale = scale_notes(piece["root"], piece["scale"])
        leads = after is not None and line.is_tone(after) and after["at"] == note["at"] + note["length"]
        if role["kind"] == "chord-tone" and not line.is_tone(note):
            yield note, "is called a chord tone"
        if role["kind"] in ("chord-tone", "extension"):
            root = chord_symbol(note["chord"]).root().pitchClass
            if (root + semitones(role["degree"])) % 12 != pitch_class:
                yield note, "has another degree"
        if technique in ("chord-scales", "blues", "pentatonics", "scale-runs"):
            # A blues line has its key's blues scale and the third of each chord.
            third = chord_symbol(note["chord"]).getChordStep(3)
            is_third = third is not None and third.pitchClass == pitch_class
            allowed = pitch_class in of_scale or long and line.is_tone(note)
            if not (allowed or technique == "blues" and is_third):
                yield note, "is outside its scale"
        if technique == "chord-outlines":
            ninth = of_scale[1] if len(of_scale) == 7 else None
            allowed = own_tones(note["chord"]) | {ninth} | set(ninths(note["chord"]))
            if pitch_class not in allowed:
                yield note, "is not in the chord up to its ninth"
        if technique in ON_STRONG_BEATS and note["at"] % line.bar in line.strong:
            delays = role["kind"] in DELAYING and leads
            if not line.is_tone(note) and not delays:
                yield note, "is no chord tone on a strong beat"
        if technique in ("lower-neighbours", "upper-neighbours") and pitch_class not in of_scale and not line.is_tone(note):
            by = 1 if technique == "lower-neighbours" else -1
            if not leads or after["midi"] - note["midi"] != by:
                yield note, "does not resolve"
    if not line.is_tone(notes[-1]):
        yield notes[-1], "is no chord tone at the end"


@functools.cache
def ninths(figure):
    """A symbol's own ninth, where it writes one."""
    ninth = chord_symbol(figure).getChordStep(2)
    return [] if ninth is None else [ninth.pitchClass]


def enclosures(line):
    notes = [note for note in line.notes]
    index = 0
    while index < len(notes):
        if notes[index]["roles"][0]["kind"] != "enclosure":
            index += 1
            continue
        if index + 2 >= len(notes):
            yield notes[index], "encloses nothing"
            return
        first, second, target = notes[index : index + 3]
        sides = sorted(note["midi"] - target["midi"] for note in (first, second))
        if sides[0] != -1 or sides[1] not in (1, 2) or not line.is_tone(target):
            yield first, "does not enclose a chord tone"
        index += 3


@functools.cache
def sevenths_of(root, name):
    notes = scale_notes(root, name)
    return [{notes[(step + third) % 7] for third in (0, 2, 4, 6)} for step in range(7)]


def wrong_groups(line):
    """Rules for groups."""
    for group in line.groups("key-sevenths"):
        piece = group[0]["piece"]
        tonic = line.key.rstrip("m")
        if piece["root"] != tonic or piece["scale"] not in ("ionian", "aeolian", "harmonic minor", "melodic minor"):
            yield group[0], "is not in a scale of the key"
        if {note["midi"] % 12 for note in group} not in sevenths_of(piece["root"], piece["scale"]):
            yield group[0], "begins no diatonic seventh chord"
    for group in line.groups("triad-pairs"):
        piece = group[0]["piece"]
        triads = [triad(name) for name in piece["triads"]]
        heard = {note["midi"] % 12 for note in group}
        if heard not in triads:
            yield group[0], f"begins none of {piece['triads']}"
        if any(not tones <= set(scale_notes(piece["root"], piece["scale"])) for tones in triads):
            yield group[0], "has a triad outside its scale"
        if triads[0] & triads[1]:
            yield group[0], "has triads with a common note"
    for group in line.groups("fourth-stacks"):
        of_scale = scale_notes(group[0]["piece"]["root"], group[0]["piece"]["scale"])
        for one, other in zip(group, group[1:]):
            low, high = sorted((one["midi"], other["midi"]))
            steps = sum(note % 12 in of_scale for note in range(low + 1, high + 1))
            inside = low % 12 in of_scale and high % 12 in of_scale
            fourth = steps == 3 if len(of_scale) == 7 else high - low in (5, 6)
            if not (inside and fourth):
                yield one, "is no fourth from the next"
    shapes = {
        tuple(b["midi"] - a["midi"] for a, b in zip(group, group[1:]))
        for group in line.groups("shifted-shapes")
    }
    if len(shapes) > 1:
        yield line.notes[0], f"is in a line of the shapes {shapes}"
    for group in line.groups("root-cells"):
        tones = own_tones(group[0]["chord"])
        if sum(note["midi"] % 12 in tones for note in group) != 3:
            yield group[0], "begins no 1 2 3 5"
    for group in line.groups("ninth-arpeggios"):
        # From the chord's root up: third or fourth, fifth, sixth or seventh, ninth.
        by_height = sorted(note["midi"] % 12 for note in group)
        ninth = scale_notes(group[0]["piece"]["root"], group[0]["piece"]["scale"])[1]
        root = chord_symbol(group[0]["chord"]).root().pitchClass
        if by_height != sorted(own_tones(group[0]["chord"]) - {root} | {ninth}):
            yield group[0], "begins no 3 5 7 9"


@functools.cache
def triad(name):
    """The pitch classes of a triad, which music21 must take for one of its kind."""
    root, kind = (name[:2], name[2:]) if name[1:2] in ("#", "b") else (name[:1], name[1:])
    root = pitch.Pitch(named(root))
    third, fifth, quality = {
        "": ("M3", "P5", "major"),
        "m": ("m3", "P5", "minor"),
        "aug": ("M3", "A5", "augmented"),
        "dim": ("m3", "d5", "diminished"),
    }[kind]
    chord = music21.chord.Chord([root, root.transpose(third), root.transpose(fifth)])
    assert chord.isTriad() and chord.quality == quality, name
    return {tone.pitchClass for tone in chord.pitches}


def lesson(seeds):
    text = 'format = 1\ntitle = "Composed"\n'
    for name, (key, meter, bars) in CHARTS.items():
        text += f'[[chart]]\nname = "{name}"\nkey = "{key}"\nmeter = "{meter}"\nA = "{bars}"\n'
        for technique in TECHNIQUES:
            text += (
                f'[[line]]\nname = "{technique}, {name}"\nchart = "{name}"\n'
                f'technique = "{technique}"\ncount = {seeds}\nseed = 1\n'
            )
    return text + '[[track]]\nname = "all"\nchart = "blues"\ncomp = "shells"\n'


def main(countoff, seeds):
    # Check values of the trade, so that a scale that is built wrong here is seen.
    assert scale_notes("G", "altered") == [7, 8, 10, 11, 1, 3, 5]
    assert scale_notes("C", "diminished half-whole") == [0, 1, 3, 4, 6, 7, 9, 10]
    assert sevenths_of("C", "ionian")[6] == {11, 2, 5, 9}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lesson.toml"
        path.write_text(lesson(seeds), encoding="utf-8")
        ran = subprocess.run([countoff, "explain", path, "--json"], capture_output=True, text=True, check=True)
    lines = json.loads(ran.stdout)
    notes, groups, failed = 0, 0, []
    for told in lines:
        line = Line(told)
        notes += len(line.notes)
        groups += len({note["group"] for note in line.notes} - {None})
        for rules in (wrong_notes, enclosures, wrong_groups):
            for note, why in rules(line):
                failed.append(f"{told['line']}: {note['note']} in bar {note['bar']} at {note['beat']} over {note['chord']} {why}")
    for failure in failed[:30]:
        print("FAILED", failure)
    print(f"composed: {len(lines)} lines, {notes} notes and {groups} groups judged by music21, {len(failed)} failed")
    return 1 if failed or len(lines) != len(CHARTS) * len(TECHNIQUES) * seeds else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 6))
