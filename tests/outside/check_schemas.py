"""Reads lesson, style and manifest files with the schemas that the program prints, by another
validator.

    python check_schemas.py COUNTOFF_PROGRAM SET_FOLDER

jsonschema validates and tomllib reads. Every file of the project that a schema is for must pass;
and of many small changes to a lesson and to styles, the schema must think what the program thinks.
"""

import json
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import jsonschema
import mido

PROJECT = Path(__file__).resolve().parents[2]

LESSON = """
format = 1
title = "Small"
{top}
[[chart]]
name = "cadence"
key = "Gm"
A = "| Am7b5 D7b9 | Gm6 |"
{chart}
[[line]]
name = "line"
chart = "cadence"
{line}
[[track]]
name = "band"
chart = "cadence"
comp = "shells"
bass = "walking"
drums = "ride"
{track}
"""

# Where a line is added, what it is, and whether it is right: the edges of every range, one step
# beyond them, words, near words, and keys that there are not.
LESSON_CASES = [
    ("top", "year = 1", True), ("top", "year = 0", False), ("top", "year = 10000", False),
    ("top", "teacher = 3", False), ("top", "teechor = 'A'", False),
    ("top", "tempos = [20, 400.0]", True), ("top", "tempos = [19.9]", False),
    ("top", "tempos = [401]", False), ("top", "tempos = []", False), ("top", "tempos = 80", False),
    ("top", "tempos = { at = 200, slower = [10, 99] }", True),
    ("top", "tempos = { at = 144, slower = [100] }", False),
    ("top", "tempos = { at = 401 }", False), ("top", "tempos = { slower = [50] }", False),
    ("top", "tempos = { at = 144, faster = [50] }", False),
    ("top", "keys = 'fourths'", True), ("top", "keys = 'fifths'", False),
    ("top", "keys = ['Bbm', 'F# minor', 'Am']", True), ("top", "keys = ['H']", False),
    ("top", "keys = []", False),
    ("top", "seed = 0", True), ("top", "seed = -1", False), ("top", "seed = 1.5", False),
    ("top", "count-in = { bars = 0 }", True), ("top", "count-in = { bars = 4 }", True),
    ("top", "count-in = { bars = 5 }", False), ("top", "count-in = { beats = 2 }", False),
    ("top", "click = { on = '2 and 4', accent = false, sound = 'soft' }", True),
    ("top", "click = { on = [1, 6] }", True), ("top", "click = { on = [0] }", False),
    ("top", "click = { on = [7] }", False), ("top", "click = { on = 'some' }", False),
    ("top", "click = { sound = 'metal' }", False), ("top", "click = { accent = 'yes' }", False),
    ("top", "level = { target = -30, by = 'each' }", True), ("top", "level = { target = -12 }", True),
    ("top", "level = { target = -11.9 }", False), ("top", "level = { by = 'file' }", False),
    ("top", "files = { bits = 24, rate = 48000 }", True), ("top", "files = { bits = 20 }", False),
    ("top", "files = { rate = 96000 }", False),
    ("top", "files = { notes = ['concert', 'bass-clef'] }", True),
    ("top", "files = { notes = ['c-clef'] }", False), ("top", "files = { notes = [] }", True),
    ("chart", "meter = '6/8'", True), ("chart", "meter = '7/8'", False),
    ("chart", "feel = 'straight'", True), ("chart", "feel = 1", True), ("chart", "feel = 4.0", True),
    ("chart", "feel = 0.9", False), ("chart", "feel = 4.1", False), ("chart", "feel = 'funky'", False),
    ("chart", "feel = '1.8'", True), ("chart", "feel = '5'", False),
    ("chart", "B = '| C7 |'\nform = 'A B'", True), ("chart", "B = ['C7']", False),
    ("track", "group = 'a'", True), ("track", "group = ''", False),
    ("track", "intensity = 'light'", True), ("track", "intensity = 'loud'", False),
    ("track", "reach = 7", True), ("track", "reach = 19", True), ("track", "reach = 6", False),
    ("track", "reach = 20", False), ("track", "start = '7'", True), ("track", "start = '5'", False),
    ("track", "choruses = 1", True), ("track", "choruses = 999", True),
    ("track", "choruses = 0", False), ("track", "choruses = 1000", False),
    ("track", "ending = 'short'", True), ("track", "ending = 'fade'", False),
    ("track", "stems = true", True), ("track", "stems = 'all'", False),
    ("track", "practice = { shape = 'loop' }", True), ("track", "practice = { shape = 'lop' }", False),
    ("track", "practice = {}", False),
    ("track", "practice = { shape = 'answer', bars = 1 }", True),
    ("track", "practice = { shape = 'answer', bars = 0 }", False),
    ("track", "practice = { shape = 'answer', bars = 65 }", False),
    ("track", "practice = { shape = 'ladder', from = 20, to = 400, step = 100 }", True),
    ("track", "practice = { shape = 'ladder', from = 19, to = 400 }", False),
    ("track", "practice = { shape = 'ladder', from = 60, to = 401 }", False),
    ("track", "practice = { shape = 'ladder', from = 60, to = 80, step = 0.4 }", False),
    ("track", "practice = { shape = 'ladder', from = 60, to = 80, step = 101 }", False),
    ("track", "practice = { shape = 'round the keys', order = 'whole steps', announce = false }", True),
    ("track", "practice = { shape = 'round the keys', order = 'fifths' }", False),
    ("track", "practice = { shape = 'resting click', sounding = 64, silent = 64 }", True),
    ("track", "practice = { shape = 'resting click', sounding = 65 }", False),
    ("track", "practice = { shape = 'resting click', silent = 0 }", False),
    ("track", "mixes = [{}, { without = ['bass'] }, { only = ['drums'], click = true, count-in = false }]", True),
    ("track", "mixes = []", False), ("track", "mixes = [{ without = ['piano'] }]", False),
    ("track", "mixes = [{ click = 1 }]", False), ("track", "mixes = [{ mute = ['bass'] }]", False),
    ("track", "mixes = [{ balance = { part = 'bass', amount = 0.1, side = 'right' } }]", True),
    ("track", "mixes = [{ balance = { part = 'bass', amount = 0.09 } }]", False),
    ("track", "mixes = [{ balance = { part = 'bass', side = 'middle' } }]", False),
    ("track", "mixes = [{ balance = { amount = 0.5 } }]", False),
    ("top", "keys = ['G#']", False), ("top", "keys = ['B flat minor', 'A#m']", True),
    ("top", "click = []", False), ("top", 'teacher = "a\\u001b"', False),
    ("track", 'group = "a\\nb"', False), ("track", "group = ' '", False),
    ("track", "practice = { shape = 'loop', step = 3 }", False),
    ("track", "practice = { shape = 'ladder', from = 60 }", False),
    ("track", "line = 3", False), ("track", "line = []", False),
    ("track", "drumz = 'ride'", False),
]

# The same for a line, which has nothing else but its name and chart. `line.mid` lies beside the lesson.
COMPOSED = "technique = 'enclosures'\n"
LINE_CASES = [
    (COMPOSED, True), ("technique = 'enclosure'", False), ("technique = ''", False), ("technique = 3", False),
    ("technique = { scale-runs = 2, enclosures = 0.5 }", True), ("technique = {}", False),
    ("technique = { scale-run = 2 }", False), ("technique = { blues = 0 }", False),
    ("technique = { blues = -1 }", False), ("technique = { blues = 1000 }", True),
    ("technique = { blues = 1001 }", False), ("technique = { blues = 'much' }", False),
    ("technique = { blues = { bars = '1' } }", True), ("technique = { blues = { weight = 2 } }", False),
    ("technique = { blues = { bars = '1-2', weight = 0 } }", False),
    ("technique = { blues = { bars = 'one' } }", False), ("technique = { blues = { bars = '1', seed = 2 } }", False),
    (COMPOSED + "seed = 0", True), (COMPOSED + "seed = -1", False), (COMPOSED + "seed = 0.5", False),
    (COMPOSED + "count = 1", True), (COMPOSED + "count = 99", True), (COMPOSED + "count = 0", False),
    (COMPOSED + "count = 100", False),
    (COMPOSED + "bars = '1-2'", True), (COMPOSED + "bars = ' 1 , 2 '", True), (COMPOSED + "bars = 1", False),
    (COMPOSED + "bars = ''", False), (COMPOSED + "bars = '1-'", False), (COMPOSED + "bars = 'all'", False),
    (COMPOSED + "breathe = 0", True), (COMPOSED + "breathe = 64", True), (COMPOSED + "breathe = 65", False),
    (COMPOSED + "breathe = -1", False),
    (COMPOSED + "rhythm = 1", True), (COMPOSED + "rhythm = 5", True), (COMPOSED + "rhythm = 0", False),
    (COMPOSED + "rhythm = 6", False),
    (COMPOSED + "upper = 'scale'", True), (COMPOSED + "upper = 'half-step'", True),
    (COMPOSED + "upper = 'step'", False),
    (COMPOSED + "displace = 0", True), (COMPOSED + "displace = 3", True), (COMPOSED + "displace = 4", False),
    (COMPOSED + "displace = -1", False),
    (COMPOSED + "range = 'C4 C6'", True), (COMPOSED + "range = 'Bb3 F#5'", True), (COMPOSED + "range = 'C4'", False),
    (COMPOSED + "range = '60 84'", False), (COMPOSED + "range = 'C4-C6'", False),
    (COMPOSED + "hand = 'right'", True), (COMPOSED + "hand = 'both'", False),
    (COMPOSED + "instrument = 'Flute'", True), (COMPOSED + "instrument = 74", False),
    (COMPOSED + "tecnique = 'blues'", False),
    ("abc = 'c8'", True), ("abc = 'c8'\nhand = 'left'", True), ("abc = 8", False),
    ("midi = 'line.mid'", True), ("midi = 'line.mid'\npickup = 0", True), ("midi = 'line.mid'\npickup = 16", True),
    ("midi = 'line.mid'\npickup = 0.5", True), ("midi = 'line.mid'\npickup = 16.5", False),
    ("midi = 'line.mid'\npickup = -1", False), ("midi = 'line.mid'\npickup = 'one'", False),
]

# A built-in style, a text in it, what stands there instead, and whether that is right.
STYLE_CASES = [
    ("comp", "shells", 'level = "beginner"', 'level = "advanced"', True),
    ("comp", "shells", 'level = "beginner"', 'level = "beginer"', False),
    ("comp", "shells", 'level = "beginner"', 'level = "beginner"\nstart = "5"', False),
    ("comp", "shells", 'level = "beginner"', 'level = "beginner"\nstart = "7"', True),
    ("comp", "shells", 'level = "beginner"', 'level = "beginner"\nprogram = 128', False),
    ("comp", "shells", 'level = "beginner"', 'level = "beginner"\nprogram = 127', True),
    ("comp", "shells", 'level = "beginner"', 'level = "beginner"\ntempo = 80', False),
    ("comp", "shells", "[[bar]]", "[[bar]]\nweight = 0", False),
    ("comp", "shells", "[[bar]]", "[[bar]]\nweight = 1000", True),
    ("comp", "shells", "[[bar]]", "[[bar]]\nweight = 1001", False),
    ("comp", "shells", "[[bar]]", "[[bar]]\nmeter = '3/4'", True),
    ("comp", "shells", "[[bar]]", "[[bar]]\nmeter = '9/8'", False),
    ("comp", "shells", "any = [", "any = ['1 3 8', ", False),
    ("comp", "shells", "any = [", "any = [{ notes = '1 5 7', penalty = 4 }, ", True),
    ("comp", "shells", "any = [", "any = [{ penalty = 4 }, ", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'tonic' }]\n[[bar]]", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '1 2& 4a', play = 'root', length = 0.25, probability = 0.5 }]\n[[bar]]", True),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'root', length = 0.3 }]\n[[bar]]", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'root', length = 8.25 }]\n[[bar]]", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'root', probability = 1.1 }]\n[[bar]]", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ at = '7', play = 'root' }]\n[[bar]]", False),
    ("bass", "walking", "[[bar]]", "[[bar]]\nhits = [{ play = 'root' }]\n[[bar]]", False),
    ("drums", "ride", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'cowbell', velocity = 127 }]\n[[bar]]", True),
    ("drums", "ride", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'cow-bell', velocity = 90 }]\n[[bar]]", False),
    ("drums", "ride", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'cowbell', velocity = 128 }]\n[[bar]]", False),
    ("drums", "ride", "[[bar]]", "[[bar]]\nhits = [{ at = '1', play = 'cowbell', velocity = 90, from = 'soft' }]\n[[bar]]", False),
    ("drums", "ride", "[[bar]]", "[[bar]]\nfor = 'fills'\nhits = []\n[[bar]]", False),
    ("drums", "ride", "[[bar]]", "[[bar]]\nfor = 'fill'\nfrom = 'medium'\nup-to = 'full'\nhits = []\n[[bar]]", True),
]


def is_valid(schema, text):
    """Whether a schema lets a TOML text pass."""
    return schema.is_valid(tomllib.loads(text))


def program_takes(countoff, lesson, styles):
    """Whether the program takes a lesson, with styles of its own beside it."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for (shelf, name), text in styles.items():
            path = folder / "mine" / shelf / f"{name}.toml"
            path.parent.mkdir(parents=True)
            path.write_text(text, encoding="utf-8")
        (folder / "lesson.toml").write_text(lesson, encoding="utf-8")
        song = mido.MidiFile(tracks=[mido.MidiTrack([mido.Message("note_on", note=60), mido.Message("note_off", note=60, time=480)])])
        song.save(folder / "line.mid")
        ran = subprocess.run([countoff, "check", folder / "lesson.toml"], capture_output=True, text=True, check=False)
        assert ran.returncode in (0, 2), ran.stderr
        return ran.returncode == 0


def main(countoff, set_folder):
    schemas = {}
    for kind in ("lesson", "comp", "bass", "drums", "manifest"):
        printed = json.loads(subprocess.run([countoff, "schema", kind], capture_output=True, text=True, check=True).stdout)
        jsonschema.Draft7Validator.check_schema(printed)
        schemas[kind] = jsonschema.Draft7Validator(printed)

    files = [("lesson", path) for path in sorted((PROJECT / "renders/evening-class").glob("*.toml"))]
    files += [("lesson", path) for path in sorted((PROJECT / "src/cli/start").glob("*.toml"))]
    for shelf in ("comp", "bass", "drums"):
        files += [(shelf, path) for path in sorted((PROJECT / "styles" / shelf).glob("*.toml"))]
    failed = []
    for kind, path in files:
        for error in schemas[kind].iter_errors(tomllib.loads(path.read_text(encoding="utf-8"))):
            failed.append(f"{path.name}: {error.json_path}: {error.message}")

    manifest = json.loads((set_folder / "manifest.json").read_text(encoding="utf-8"))
    failed += [f"manifest: {error.json_path}: {error.message}" for error in schemas["manifest"].iter_errors(manifest)]
    if schemas["manifest"].is_valid({**manifest, "format": 2}) or not manifest["files"]:
        failed.append("manifest: the schema takes another format, or there are no files")

    # The empty case is right; it shows that the others fail for their own sake.
    lines = [("line", line, right) for line, right in LINE_CASES]
    for place, line, right in [("top", "", True), *LESSON_CASES, *lines]:
        lesson = LESSON.format(**{"top": "", "chart": "", "track": "", "line": COMPOSED, place: line})
        verdicts = {"schema": is_valid(schemas["lesson"], lesson), "program": program_takes(countoff, lesson, {})}
        failed += [f"{line!r}: the {who} says {said}" for who, said in verdicts.items() if said != right]

    for shelf, name, old, new, right in STYLE_CASES:
        text = (PROJECT / "styles" / shelf / f"{name}.toml").read_text(encoding="utf-8")
        assert old in text, (name, old)
        text = text.replace(old, new, 1)
        lesson = LESSON.format(top="styles = 'mine'", chart="", track="", line=COMPOSED)
        verdicts = {"schema": is_valid(schemas[shelf], text), "program": program_takes(countoff, lesson, {(shelf, name): text})}
        failed += [f"{shelf} {name}, {new!r}: the {who} says {said}" for who, said in verdicts.items() if said != right]

    print(f"schemas: {len(files) + 1} files pass, {len(LESSON_CASES) + len(LINE_CASES) + len(STYLE_CASES)} changes judged as the program judges them")
    for line in failed:
        print("FAILED", line)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], Path(sys.argv[2])))
