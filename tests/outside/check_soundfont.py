"""Reads the SoundFont with sf2utils.

    python check_soundfont.py FILE.sf2
"""

import sys

from sf2utils.sf2parse import Sf2File

# General MIDI level 1, program numbers from 0; bank 128 is percussion.
EXPECTED = {(0, 0), (0, 32), (128, 0)}


def main(path):
    with open(path, "rb") as file:
        font = Sf2File(file)
        presets = {(preset.bank, preset.preset) for preset in font.presets if preset.name != "EOP"}
        assert EXPECTED <= presets, presets
        for sample in font.samples:
            if sample.name == "EOS":
                continue
            assert sample.duration > 0 and sample.sample_rate in range(8000, 48001), sample
        print(f"sf2utils: {font.info.bank_name}, {len(presets)} presets, {len(font.samples) - 1} samples")


if __name__ == "__main__":
    main(sys.argv[1])
