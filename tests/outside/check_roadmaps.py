"""In which order music21 plays the measures of the sheets in tests/facts/roadmaps, against the table
beside them, which was written by hand from the description of MusicXML's elements `sound`, `repeat`
and `ending`. The tests of the program read the same sheets and the same table.

    python check_roadmaps.py TABLE
"""

import csv
import sys
from pathlib import Path

import music21

from report import Report


def played(path):
    """The letters of the notes, one a measure, with repeats and jumps played out."""
    part = music21.converter.parse(path).parts[0].expandRepeats()
    notes = part.recurse().getElementsByClass(music21.note.Note)
    return "".join(note.pitch.step for note in notes)


table = Path(sys.argv[1])
report = Report()
with table.open() as rows:
    for row in csv.DictReader(rows, delimiter="\t"):
        sheet = table.with_suffix("") / f"{row['sheet']}.musicxml"
        found = played(sheet)
        report.check(found == row["played"], f"{sheet.name}: {found}, and not {row['played']}")
for problem in report.failed:
    print(problem)
print(f"roadmaps: music21 plays {report.passed} sheets as the table says, {len(report.failed)} not")
sys.exit(bool(report.failed))
