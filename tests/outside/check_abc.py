"""What music21 reads in the ABC texts of tests/facts/abc.tsv, against what the table says.

    python check_abc.py TABLE            confirms the table
    python check_abc.py TABLE --write    fills it

The tests of the program read the same table, so that both readers agree on every text.
"""

import sys
from fractions import Fraction
from pathlib import Path

import music21


def heard(text):
    """`C4:0:1` for each note: pitch, start from the first bar line and length in quarters."""
    # Without its version music21 reads a text by an older standard, in which accidentals do not hold
    # to the end of their bar.
    header = "%abc-2.1\nX:1\n" + ("" if "M:" in text else "M:4/4\n")
    # music21 reads notes only behind a key, which ends the header.
    lines = text.split("; ")
    fields = [line for line in lines if line[:1].isalpha() and line[1:2] == ":"]
    music = [line for line in lines if line not in fields]
    fields.sort(key=lambda line: line.startswith("K:"))
    if not any(line.startswith("K:") for line in fields):
        fields.append("K:C")
    score = music21.converter.parse(header + "\n".join(fields + music) + "\n", format="abc")
    if any(isinstance(mark, music21.bar.Repeat) for mark in score.recurse()):
        score = score.parts[0].expandRepeats()
    score = score.stripTies()
    measures = list(score.recurse().getElementsByClass(music21.stream.Measure))
    meter = next(iter(score.recurse().getElementsByClass(music21.meter.TimeSignature)))
    pickup = Fraction(0)
    if len(measures) > 1 and measures[0].duration.quarterLength < meter.barDuration.quarterLength:
        pickup = Fraction(measures[0].duration.quarterLength)
    notes = []
    for element in score.flatten().notes:
        # Chord symbols and grace notes take no time, and are not played.
        if element.duration.quarterLength == 0:
            continue
        for pitch in element.pitches:
            start = Fraction(element.offset).limit_denominator(1000) - pickup
            length = Fraction(element.duration.quarterLength).limit_denominator(1000)
            notes.append((start, pitch.midi, pitch.nameWithOctave.replace("-", "b"), length))
    return " ".join(f"{name}:{start}:{length}" for start, _, name, length in sorted(notes))


def main(table, write):
    lines = table.read_text().splitlines()
    failed = 0
    for number, line in enumerate(lines):
        if line.startswith("#") or line.startswith("abc\t"):
            continue
        text, _, expected = line.partition("\t")
        found = heard(text)
        if write:
            lines[number] = f"{text}\t{found}"
        elif found != expected:
            failed += 1
            print("FAILED", text, "\n  table  ", expected, "\n  music21", found)
    if write:
        table.write_text("\n".join(lines) + "\n")
    print(f"abc: {len(lines) - failed - 2} texts heard alike, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), "--write" in sys.argv))
