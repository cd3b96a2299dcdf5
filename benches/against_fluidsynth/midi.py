"""A MIDI file with some of its tracks, so that a player plays what a mix holds and no more."""

import struct


def chunks(data):
    """The chunks of a MIDI file, each with its head."""
    at = 0
    while at < len(data):
        size = 8 + struct.unpack(">I", data[at + 4 : at + 8])[0]
        yield data[at : at + size]
        at += size


def track_name(chunk):
    """The name in a track's first name event (FF 03 length text)."""
    at = chunk.find(b"\xff\x03")
    return chunk[at + 3 : at + 3 + chunk[at + 2]].decode() if at >= 0 else ""


def only_parts(data, parts):
    """The file with the conductor's track (the first) and the tracks of the named parts."""
    head, conductor, *tracks = chunks(data)
    kept = [conductor] + [track for track in tracks if track_name(track) in parts]
    head = head[:10] + struct.pack(">H", len(kept)) + head[12:]
    return head + b"".join(kept)
