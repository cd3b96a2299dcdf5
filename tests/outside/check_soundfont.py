"""The embedded SoundFont, read by a parser and played by a synthesiser that this project did not write.

    python check_soundfont.py FILE.sf2

The second needs fluidsynth and is left out where it is not installed.
"""

import logging
import shutil
import struct
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

import mido
import numpy
from sf2utils.sf2parse import Sf2File

# Bank and program counted from 0, a key that must sound there, its frequency (None for drums).
PRESETS = [
    (0, 0, 69, 440.0),
    (0, 4, 69, 440.0),
    (0, 11, 69, 440.0),
    (0, 32, 45, 110.0),
    (0, 73, 69, 440.0),
    (128, 0, 51, None),
    (128, 40, 40, None),
]


class Complaints(logging.Handler):
    """Collects what sf2utils has to say against the file."""

    def __init__(self):
        super().__init__(logging.WARNING)
        self.words = []

    def emit(self, record):
        self.words.append(record.getMessage())


def parse(path):
    complaints = Complaints()
    logging.getLogger().addHandler(complaints)
    with open(path, "rb") as file:
        font = Sf2File(file)
        found = {(p.bank, p.preset) for p in font.presets if p.name != "EOP"}
        for sample in font.samples:
            if sample.name != "EOS":
                assert sample.duration > 0, sample.name
                assert sample.is_mono, sample.name
    missing = [p for p in PRESETS if (p[0], p[1]) not in found]
    assert not missing, f"presets missing: {missing}"
    assert not complaints.words, complaints.words[:5]


def chunks_in_order(path):
    """INFO, sdta, pdta, and nothing else (specification 2.01, section 3)."""
    data = Path(path).read_bytes()
    assert data[:4] == b"RIFF" and data[8:12] == b"sfbk"
    assert struct.unpack("<I", data[4:8])[0] + 8 == len(data)
    forms, position = [], 12
    while position < len(data):
        size = struct.unpack("<I", data[position + 4 : position + 8])[0]
        forms.append(data[position + 8 : position + 12])
        position += 8 + size + size % 2
    assert forms == [b"INFO", b"sdta", b"pdta"], forms


def played(path, bank, program, key, folder):
    """One second of a note through fluidsynth, mono."""
    midi, audio = folder / "note.mid", folder / "note.wav"
    song = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    song.tracks.append(track)
    channel = 9 if bank == 128 else 0
    track.append(mido.Message("program_change", channel=channel, program=program))
    track.append(mido.Message("note_on", channel=channel, note=key, velocity=90))
    track.append(mido.Message("note_off", channel=channel, note=key, time=960))
    song.save(midi)
    command = ["fluidsynth", "-ni", "-R", "0", "-C", "0", "-r", "44100", "-F", str(audio), str(path), str(midi)]
    result = subprocess.run(command, capture_output=True, text=True, check=True)
    complaints = [line for line in result.stderr.splitlines() if "sfont" in line.lower() or "sample" in line.lower()]
    assert not complaints, complaints
    with wave.open(str(audio)) as reader:
        frames = numpy.frombuffer(reader.readframes(44_100), dtype="<i2").astype(float)
    return frames.reshape(-1, 2).mean(axis=1) / 32_768


def sounds(path):
    with tempfile.TemporaryDirectory() as name:
        for bank, program, key, frequency in PRESETS:
            sound = played(path, bank, program, key, Path(name))
            level = numpy.sqrt((sound**2).mean())
            assert level > 1e-4, f"preset {bank}:{program} is silent"
            if frequency is None:
                continue
            size = 1 << 19
            power = numpy.abs(numpy.fft.rfft(sound * numpy.hanning(len(sound)), size))
            width = 44_100 / size
            near = slice(int(frequency * 0.97 / width), int(frequency * 1.03 / width))
            heard = (near.start + power[near].argmax()) * width
            cents = 1200 * numpy.log2(heard / frequency)
            assert abs(cents) < 6, f"preset {bank}:{program} is {cents:+.1f} cents off"


if __name__ == "__main__":
    file = sys.argv[1]
    chunks_in_order(file)
    parse(file)
    print("sf2utils: reads the SoundFont without a complaint")
    if shutil.which("fluidsynth"):
        sounds(file)
        print("fluidsynth: plays every preset, in tune")
