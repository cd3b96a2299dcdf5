"""Melodies in the public domain that come with music21, as MusicXML: read, and explained.

    python check_melodies.py COUNTOFF_PROGRAM

music21 writes each as MusicXML for the time of the check; nothing of them is kept here. Those with
chord symbols give their own chart, the others go over their tonic. Every note must be explained, and
be the one that music21 has.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from music21 import bar, corpus, harmony, meter

# Foster died in 1864, and the file says "Public Domain"; the others are traditional tunes, in
# collections of 1782 (Aird) and 1883 (Ryan), and in the Nottingham database, whose page for this one
# says "Scottish".
WITH_CHORDS = [("leadSheet/fosterBrownHair", None), ("nottingham-dataset/reelsa-c", 80)]
WITHOUT = [("airdsAirs/book1", number) for number in (1, 4, 5, 6, 7, 9, 10, 15, 17, 20, 21, 25, 26, 27, 29)]
WITHOUT += [
    (f"ryansMammoth/{name}", None)
    for name in ("WeddingRingReelThe", "EssenceOfOldKentucky", "MissGunningsFancyReel")
]
METERS = {"4/4", "3/4", "5/4", "6/8", "2/2", "2/4"}


def strain(part):
    """A part up to its first repeat, once, without grace notes; `None` in a meter that we have not."""
    for measure in part.getElementsByClass("Measure"):
        if isinstance(measure.rightBarline, bar.Repeat):
            part = part.measures(0, measure.number)
            break
    for measure in part.getElementsByClass("Measure"):
        if isinstance(measure.leftBarline, bar.Repeat):
            measure.leftBarline = None
        if isinstance(measure.rightBarline, bar.Repeat):
            measure.rightBarline = None
    for bracket in list(part.getElementsByClass("RepeatBracket")):
        part.remove(bracket)
    meters = {sign.ratioString for sign in part.recurse().getElementsByClass(meter.TimeSignature)}
    if len(meters) != 1 or not meters <= METERS:
        return None, meters
    for note in list(part.recurse().notes):
        if note.duration.isGrace:
            note.activeSite.remove(note)
    return part, meters.pop()


def sounding(part):
    notes = [note for note in part.stripTies().flatten().notes if not isinstance(note, harmony.ChordSymbol)]
    return [midi for _, midi in sorted((note.offset, tone.midi) for note in notes for tone in note.pitches)]


def lesson(key, chart):
    return (
        'format = 1\ntitle = "A melody"\n'
        f'[[chart]]\nname = "tune"\nkey = "{key}"\n{chart}\n'
        '[[line]]\nname = "melody"\nchart = "tune"\nmusicxml = "tune.musicxml"\n'
        '[[track]]\nname = "melody"\nchart = "tune"\nline = "melody"\n'
    )


def check(countoff, name, number, has_chords):
    """What is wrong with one melody, and how many notes it has; no notes where it is left out."""
    score = corpus.parse(name, number=number) if number else corpus.parse(name)
    part, found = strain(score.parts[0])
    if part is None:
        return None, 0, f"in {', '.join(sorted(found))}"
    key = part.analyze("key")
    tonic = key.tonic.name.replace("-", "b")
    named = tonic + ("m" if key.mode == "minor" else "")
    bars = sum(measure.number != 0 for measure in part.getElementsByClass("Measure"))
    written = f'meter = "{found}"\nA = "{f"| {named} " * bars}|"'
    # A lead sheet brings its own meter.
    chart = 'musicxml = "tune.musicxml"' if has_chords else written
    with tempfile.TemporaryDirectory() as folder:
        part.write("musicxml", Path(folder) / "tune.musicxml")
        (Path(folder) / "lesson.toml").write_text(lesson(named, chart), encoding="utf-8")
        ran = subprocess.run(
            [countoff, "explain", Path(folder) / "lesson.toml", "--json"],
            capture_output=True, text=True, check=False,
        )
    if ran.returncode:
        return ran.stderr, 0, ""
    notes = json.loads(ran.stdout)[0]["notes"]
    wanted = sounding(part)
    if [note["midi"] for note in notes] != wanted:
        return f"{[note['midi'] for note in notes]} is not {wanted}", 0, ""
    nameless = [note["note"] for note in notes if note["chord"] and not note["roles"]]
    return (f"no role for {nameless}" if nameless else None), len(notes), ""


def main(countoff):
    notes, read, failed = 0, 0, 0
    pieces = [(*piece, True) for piece in WITH_CHORDS] + [(*piece, False) for piece in WITHOUT]
    for name, number, has_chords in pieces:
        wrong, count, told = check(countoff, name, number, has_chords)
        if wrong:
            failed += 1
            print("FAILED", name, number or "", wrong)
        elif count == 0:
            print(f"  {name} {number or ''}: left out, {told}")
        else:
            read += 1
            notes += count
    print(f"melodies: {read} in the public domain with {notes} notes read as music21 has them and explained, {failed} failed")
    return 1 if failed or read < len(pieces) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
