"""The pictures of sheets beside the same MusicXML, engraved by verovio.

    python check_engraving.py SET_FOLDER PICTURES [COUNT]

Draws up to COUNT (20) sheets of a rendered set, each twice: as the program engraved it, and as
verovio does. They are to be looked at; what is checked is that both can be drawn, and that a picture
has a mark for every note and rest that is printed in the MusicXML.
"""

import io
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import cairosvg
import verovio
from PIL import Image

WIDTH = 900
OPTIONS = {
    "pageWidth": 2100, "pageHeight": 60000, "adjustPageHeight": True, "scale": 40,
    "breaks": "encoded", "header": "none", "footer": "none", "svgViewBox": True,
}


def drawn(svg):
    picture = cairosvg.svg2png(bytestring=svg.encode(), output_width=WIDTH, background_color="white")
    return Image.open(io.BytesIO(picture)).convert("RGB")


def printed(musicxml):
    """How many heads and rests are printed."""
    notes = ElementTree.parse(musicxml).iter("note")
    return sum(note.get("print-object") != "no" for note in notes)


def main(folder, pictures, count):
    sheets = sorted((folder / "notes").glob("*.musicxml"))
    # Some of all kinds, not the first in one key.
    sheets = sheets[:: max(1, len(sheets) // count)][:count]
    pictures.mkdir(parents=True, exist_ok=True)
    engraver = verovio.toolkit()
    verovio.enableLog(verovio.LOG_OFF)
    engraver.setOptions(OPTIONS)
    wrong = []
    for sheet in sheets:
        ours = sheet.with_suffix(".svg").read_text()
        if ours.count('class="note"') != printed(sheet):
            wrong.append(sheet.name)
        engraver.loadFile(str(sheet))
        pair = [drawn(ours), drawn(engraver.renderToSVG(1))]
        both = Image.new("RGB", (2 * WIDTH, max(picture.height for picture in pair)), "white")
        both.paste(pair[0], (0, 0))
        both.paste(pair[1], (WIDTH, 0))
        both.save(pictures / f"{sheet.stem}.png")
    print(f"engraving: {len(sheets)} sheets drawn beside verovio's, in {pictures}")
    if wrong:
        sys.exit(f"other notes are drawn than are printed in: {', '.join(wrong)}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else 20)
