"""The lessons that are measured: a trio over a blues, about three minutes a file."""

HEAD = """
format = 1
title = "Measured"
[[chart]]
name = "blues"
key = "F"
A = "| F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F7 | Am7 D7b9 | Gm7 | C7 | F7 D7b9 | Gm7 C7 |"
"""

TRACK = """
[[track]]
name = "trio at {tempo}"
chart = "blues"
comp = "rootless"
bass = "walking"
drums = "ride"
tempos = [{tempo}]
choruses = {choruses}
keys = {keys}
mixes = {mixes}
"""

# Twelve bars of four beats take 48, 36, 26.7 and 20 seconds: three minutes in whole choruses.
CHORUSES = {60: 4, 80: 5, 108: 7, 144: 9}
MIXES = '[{}, { without = ["comp"] }, { without = ["bass"] }, { click = true }]'


def trio(minutes=3):
    """One trio track in one key and one mix; a chorus at 144 takes a third of a minute."""
    return HEAD + TRACK.format(tempo=144, choruses=3 * minutes, keys='"as written"', mixes="[{}]")


def course_set():
    """4 tempos x 12 keys x 4 mixes: 192 files of about three minutes."""
    tracks = (
        TRACK.format(tempo=tempo, choruses=choruses, keys='"fourths"', mixes=MIXES)
        for tempo, choruses in CHORUSES.items()
    )
    return HEAD + "".join(tracks)
