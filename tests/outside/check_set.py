"""Reads a rendered set with general-purpose libraries and confirms tempo, chords, loudness and MIDI.

    python check_set.py SET_FOLDER

mido reads the MIDI, pyebur128 measures the loudness, music21 says which notes a chord symbol has,
numpy looks for onsets and pitch classes in the audio.
"""

import json
import sys
import tomllib
import wave
from pathlib import Path

import mido
import music21
import numpy as np
import pyebur128

from report import Report

# A lesson promises -16 LUFS to 0.2 where it says nothing else, unless the manifest says how much a
# file is short of that.
TARGET_LUFS = -16.0
TOLERANCE_LU = 0.25
CEILING_DBTP = -1.0


def read_wav(path):
    """Frames as floats, one row a frame, and the sample rate."""
    with wave.open(str(path)) as file:
        assert file.getsampwidth() == 2, path
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
        return samples.reshape(-1, file.getnchannels()) / 32768.0, file.getframerate()


def check_loudness(report, path, entry, take, audio, rate, target):
    """The programme is at the target, and no true peak is over the ceiling."""
    sound = entry["sound"]
    whole = pyebur128.R128State(2, rate, pyebur128.MeasurementMode.MODE_I | pyebur128.MeasurementMode.MODE_TRUE_PEAK)
    flat = np.ascontiguousarray(audio, dtype=np.float32).reshape(-1)
    whole.add_frames(flat, len(audio))
    measured = pyebur128.get_loudness_global(whole)
    report.check(abs(measured - sound["lufs"]) < 0.1, f"{path}: {measured:.2f} LUFS, the manifest says {sound['lufs']:.2f}")
    peak = max(20 * np.log10(pyebur128.get_true_peak(whole, channel)) for channel in (0, 1))
    report.check(peak <= CEILING_DBTP + 0.05, f"{path}: {peak:.2f} dBTP")
    if set(entry["parts"]) != fullest_parts(take) or "click" in entry["parts"]:
        return
    first = next(bar["frame"] for bar in take["bars"] if bar["kind"] not in ("count-in", "lead-in")) - sound.get("begins", 0)
    programme = pyebur128.R128State(2, rate, pyebur128.MeasurementMode.MODE_I)
    music = np.ascontiguousarray(audio[max(first - rate // 10, 0) :], dtype=np.float32).reshape(-1)
    programme.add_frames(music, len(music) // 2)
    level = pyebur128.get_loudness_global(programme)
    expected = target - (sound.get("short-of-target") or 0.0)
    report.check(abs(level - expected) < TOLERANCE_LU, f"{path}: the music is at {level:.2f} LUFS, not {expected:.2f}")


def fullest_parts(take):
    return take["all-parts"]


def check_midi(report, path, take):
    """Tempo, bars and names as the manifest has them; every note-on has its note-off."""
    midi = mido.MidiFile(path)
    report.check(midi.type == 1 and midi.ticks_per_beat == 960, f"{path}: format 1 at 960")
    tempos = [message.tempo for message in midi.tracks[0] if message.type == "set_tempo"]
    report.check(tempos == [entry["micros-per-quarter"] for entry in take["tempo-map"]], f"{path}: tempos {tempos}")
    changes, lead = tempo_changes(midi), 512 / take["rate"]
    for (tick, _), entry in zip(changes, take["tempo-map"]):
        off = abs(seconds(changes, tick) + lead - entry["frame"] / take["rate"])
        report.check(off * take["rate"] <= 1, f"{path}: the tempo of tick {tick} is {off:.6f} s off")
    markers = [message.text for message in midi.tracks[0] if message.type == "marker"]
    report.check(any(marker.startswith("Chorus 1") for marker in markers), f"{path}: markers {markers}")
    for track in midi.tracks[1:]:
        sounding = {}
        for message in track:
            if message.type == "note_on" and message.velocity > 0:
                report.check(message.note not in sounding, f"{path}, {track.name}: {message.note} struck twice")
                sounding[message.note] = True
            elif message.type in ("note_off", "note_on"):
                report.check(sounding.pop(message.note, False), f"{path}, {track.name}: {message.note} let go twice")
        report.check(not sounding, f"{path}, {track.name}: {sounding} still sounding")
    return midi


def tempo_changes(midi):
    """(tick, microseconds per quarter) of all tempos."""
    tick, changes = 0, []
    for message in midi.tracks[0]:
        tick += message.time
        if message.type == "set_tempo":
            changes.append((tick, message.tempo))
    return changes


def seconds(changes, tick):
    """When a tick is reached."""
    ends = [at for at, _ in changes[1:]] + [tick]
    spans = ((min(end, tick) - at, tempo) for (at, tempo), end in zip(changes, ends))
    return sum(max(span, 0) * tempo for span, tempo in spans) / 960 / 1e6


def notes_by_start(midi, name):
    """(start in seconds, pitch) of one track."""
    changes = tempo_changes(midi)
    track = next((track for track in midi.tracks if track.name == name), [])
    tick, notes = 0, []
    for message in track:
        tick += message.time
        if message.type == "note_on" and message.velocity > 0:
            notes.append((seconds(changes, tick), message.note))
    return notes


def check_count_in(report, path, midi, audio, rate):
    """The strokes of the count-in sound where the MIDI file has them, to half a millisecond."""
    strokes = notes_by_start(midi, "count-in")
    if not strokes:
        return
    level = np.abs(audio).max(axis=1)
    lead = 512 / rate
    for start, _ in strokes:
        frame = round((start + lead) * rate)
        before, after = level[max(frame - 441, 0) : frame - 22], level[frame : frame + 441]
        loud = after.max() > 0.01 and after.max() > 4 * (before.max() if len(before) else 0)
        report.check(loud, f"{path}: no stroke at {start:.3f} s")


def music21_pitch_classes(symbol):
    """The pitch classes of a chord symbol; none where music21 does not know the symbol."""
    text = symbol.replace("maj7", "maj7").replace("m7b5", "ø7")
    root, rest = (text[:2], text[2:]) if text[1:2] in ("b", "#") else (text[:1], text[1:])
    figure = root.replace("b", "-") + rest
    try:
        return {pitch.pitchClass for pitch in music21.harmony.ChordSymbol(figure).pitches}
    except Exception:
        return None


def check_chords(report, path, take, midi, rate):
    """What the comp plays over a chord of one bar holds the chord's third and seventh or sixth."""
    notes = notes_by_start(midi, "comp")
    lead = 512 / rate
    for bar, after in zip(take["bars"], take["bars"][1:]):
        if bar["kind"] != "chorus" or len(bar["chords"]) != 1:
            continue
        expected = music21_pitch_classes(bar["chords"][0])
        if expected is None or len(expected) < 4:
            continue
        start, end = bar["frame"] / rate - lead, after["frame"] / rate - lead
        # From a little before the bar (the hand may be early) to well before the next.
        played = {pitch % 12 for at, pitch in notes if start - 0.03 <= at < start + 0.6 * (end - start)}
        if len(played) < 3:
            continue
        # Root in the bass or not, at least three of the chord's tones are in the hand, or two
        # guide tones with tensions above.
        shared = len(played & expected)
        report.check(shared >= 2, f"{path}: over {bar['chords'][0]} sounds {sorted(played)}, not {sorted(expected)}")


def main(folder):
    report = Report()
    manifest = json.loads((folder / "manifest.json").read_text())
    assert manifest["format"] == 1
    files = manifest["files"]
    takes = manifest["takes"]
    lesson = folder.with_suffix(".toml")
    written = tomllib.loads(lesson.read_text()) if lesson.exists() else {}
    target = written.get("level", {}).get("target", TARGET_LUFS)
    for name, take in takes.items():
        parts = [set(file["parts"]) for file in files.values() if file.get("take") == name and file["purpose"] == "mix"]
        take["all-parts"] = max((own - {"click"} for own in parts), key=len, default=set())
    listed = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file() and not path.name.startswith(".")} - {"manifest.json"}
    report.check(listed == set(files), f"on disk but not listed, or the reverse: {listed ^ set(files)}")
    midis = {}
    for path, entry in files.items():
        if entry["purpose"] == "midi":
            take = takes[entry["take"]]
            midis[entry["take"]] = check_midi(report, folder / path, take)
            check_chords(report, path, take, midis[entry["take"]], take["rate"])
    for path, entry in files.items():
        if entry["purpose"] == "mix" and path.endswith(".wav"):
            take = takes[entry["take"]]
            audio, rate = read_wav(folder / path)
            report.check(len(audio) == entry["sound"]["frames"], f"{path}: {len(audio)} frames")
            # A loop begins at once and ends where it begins again.
            loops = take["bars"][0]["frame"] == 0
            report.check(loops or np.abs(audio[-64:]).max() < 1e-3, f"{path}: does not end in silence")
            check_loudness(report, path, entry, take, audio, rate, target)
            if len(take["tempo-map"]) == 1 and "count-in" in entry["parts"]:
                check_count_in(report, path, midis[entry["take"]], audio, rate)
    for failure in report.failed[:20]:
        print("FAILED", failure)
    print(f"set: {report.passed} passed, {len(report.failed)} failed")
    return 1 if report.failed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
