"""The lines of a rendered set, as MIDI, against what music21 reads in the lesson.

    python check_lines.py LESSON.toml SET_FOLDER

mido reads the MIDI; music21 reads the ABC and MusicXML of the lesson. In every take the line's
notes are those of its source, in order, all moved by one interval a chorus to the key that the
manifest gives.
"""

import json
import sys
import tomllib
from fractions import Fraction
from pathlib import Path

import mido
import music21


def source_notes(entry, chart, folder):
    """MIDI numbers of a line in order of start, then pitch, and how many are a pickup."""
    if "abc" in entry:
        key = chart["key"]
        text = f"%abc-2.1\nX:1\nM:4/4\nL:1/8\nK:{key}\n{entry['abc'].strip()}\n"
        score = music21.converter.parse(text, format="abc")
    elif "musicxml" in entry:
        score = music21.converter.parse(folder / entry["musicxml"])
    else:
        return None
    measures = list(score.recurse().getElementsByClass(music21.stream.Measure))
    first = Fraction(measures[0].duration.quarterLength)
    pickup = first if first < 4 else 0
    notes = [
        (Fraction(element.offset).limit_denominator(1000), pitch.midi)
        for element in score.stripTies().flatten().notes
        if element.duration.quarterLength
        for pitch in element.pitches
    ]
    early = sum(start < pickup for start, _ in notes)
    return [pitch for _, pitch in sorted(notes)], early


def played(path, part):
    """The MIDI numbers of a part, in the order in which they are struck."""
    midi = mido.MidiFile(path)
    track = next(track for track in midi.tracks if track.name == part)
    return [message.note for message in track if message.type == "note_on" and message.velocity]


def tonic(key):
    return music21.pitch.Pitch(key.rstrip("m").replace("b", "-")).pitchClass


def main(lesson, folder):
    text = tomllib.loads(lesson.read_text())
    charts = {chart["name"]: chart for chart in text["chart"]}
    lines = {line["name"]: line for line in text["line"]}
    tracks = {track["name"]: track for track in text["track"]}
    manifest = json.loads((folder / "manifest.json").read_text())
    passed, failed = 0, []
    for path, entry in manifest["files"].items():
        if entry["purpose"] != "midi":
            continue
        take = manifest["takes"][entry["take"]]
        number = int(Path(path).name.split("-")[0])
        track = list(tracks.values())[number - 1]
        chart = charts[track["chart"]]
        line = lines[track["line"]]
        source = source_notes(line, chart, lesson.parent)
        if source is None:
            continue
        written, early = source
        found = played(folder / path, "line")
        if track.get("practice", {}).get("shape") == "answer":
            # After a bar to answer in, the pickup is the student's: it is heard once only.
            second = written[early:]
            found = found[:len(written)] + [
                note
                for at in range(len(written), len(found), len(second))
                for note in written[:early] + found[at : at + len(second)]
            ]
        choruses = [found[at : at + len(written)] for at in range(0, len(found), len(written))]
        for chorus in choruses:
            intervals = {after - before for before, after in zip(written, chorus)}
            if len(chorus) == len(written) and len(intervals) == 1:
                passed += 1
            else:
                failed.append(f"{path}: {chorus}, not {written} moved by one interval")
        keys = {bar["key"] for bar in take["bars"] if bar["kind"] == "chorus"} if "key" in take["bars"][0] else set()
        moved = {(chorus[0] - written[0]) % 12 for chorus in choruses if chorus}
        expected = {(tonic(key) - tonic(chart["key"])) % 12 for key in keys}
        if keys and moved != expected:
            failed.append(f"{path}: moved by {moved}, and the keys say {expected}")
    for failure in failed[:20]:
        print("FAILED", failure)
    print(f"lines: {passed} passed, {len(failed)} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
