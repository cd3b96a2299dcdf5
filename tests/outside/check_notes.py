"""The sheets of notes of a rendered set.

    python check_notes.py SET_FOLDER

Every sheet is valid MusicXML 4.0 (the W3C's schema, as the PyPI package musicxml carries it) and is
engraved by verovio. music21 reads it: in every bar every voice fills the bar, and what the hands
play, repeats played out, is what the MIDI file of the same track and key holds.
"""

import json
import sys
import warnings
from collections import Counter
from importlib.util import find_spec
from pathlib import Path

import mido
import music21
import verovio
import xmlschema

warnings.filterwarnings("ignore")
XML = "http://www.musicxml.org/xsd/xml.xsd"
XLINK = "http://www.musicxml.org/xsd/xlink.xsd"


def schema():
    """The W3C's schema, with what it imports taken from the validator."""
    package = Path(find_spec("musicxml").origin).parent
    text = (package / "generate_classes" / "musicxml_4_0.xsd").read_text()
    own = Path(xmlschema.__file__).parent / "schemas"
    text = text.replace(XML, str(own / "XML" / "xml.xsd"))
    return xmlschema.XMLSchema(text.replace(XLINK, str(own / "XLINK" / "xlink.xsd")), allow="all")


def unfilled(score):
    """The bars that a voice does not fill."""
    found = []
    for part in score.parts:
        for measure in part.getElementsByClass(music21.stream.Measure):
            if "X" in measure.measureNumberWithSuffix() or measure.paddingLeft:
                continue
            bar = measure.barDuration.quarterLength
            for voice in list(measure.voices) or [measure]:
                if abs(voice.highestTime - bar) > 1e-6:
                    found.append(measure.measureNumberWithSuffix())
    return found


def written(score):
    """How often each key of the piano is struck, repeats played out."""
    pitches = Counter()
    for part in score.parts:
        repeats = part.recurse().getElementsByClass("RepeatMark")
        # The file of a loop holds one round.
        words = part.recurse().getElementsByClass(music21.expressions.TextExpression)
        is_loop = any("round and round" in text.content for text in words)
        out = part.expandRepeats() if repeats and not is_loop else part
        for note in out.recurse().notes:
            if isinstance(note, (music21.harmony.ChordSymbol, music21.note.Unpitched)):
                continue
            members = note.notes if isinstance(note, music21.chord.Chord) else [note]
            for member in members:
                if member.tie is None or member.tie.type == "start":
                    pitches[member.pitch.midi] += 1
    return pitches


def played(path):
    """How often each key of the piano is struck."""
    tracks = [track for track in mido.MidiFile(path).tracks if track.name in ("line", "comp")]
    return Counter(
        message.note
        for track in tracks
        for message in track
        if message.type == "note_on" and message.velocity
    )


def midi_of(sheet, manifest):
    """A MIDI file of the track and key of a sheet: its name is the sheet's with the tempo."""
    stem = Path(sheet).stem
    for path, entry in manifest["files"].items():
        if entry["purpose"] == "midi" and Path(path).name.startswith(stem):
            return path
    return None


def main(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    sheets = [path for path, entry in manifest["files"].items() if entry["purpose"] == "notes"]
    rules, engraver = schema(), verovio.toolkit()
    verovio.enableLog(verovio.LOG_OFF)
    passed, failed = 0, []
    for sheet in sheets:
        checks = {}
        errors = [f"{error.path}: {error.reason}" for error in rules.iter_errors(folder / sheet)]
        checks["valid MusicXML 4.0"] = errors[:1] == [] or errors[:1]
        engraved = engraver.loadFile(str(folder / sheet)) and "<svg" in engraver.renderToSVG(1)
        checks["engraved by verovio"] = engraved
        score = music21.converter.parse(folder / sheet)
        checks["every voice fills its bars"] = unfilled(score) == [] or unfilled(score)
        midi = midi_of(sheet, manifest)
        if midi is not None:
            on_paper, in_midi = written(score), played(folder / midi)
            different = (on_paper - in_midi) + (in_midi - on_paper)
            checks[f"the notes of {midi}"] = not different or dict(different)
        for check, outcome in checks.items():
            if outcome is True:
                passed += 1
            else:
                failed.append(f"{sheet}: {check}: {outcome}")
    for line in failed:
        print("FAILED", line)
    print(f"notes: {len(sheets)} sheets, {passed} checks passed, {len(failed)} failed")
    return 1 if failed or not sheets else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
