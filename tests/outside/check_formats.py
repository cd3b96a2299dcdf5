"""Reads the files of a rendered set with tools that nobody here wrote: every format, its tags, markers and samples.

    python check_formats.py SET_FOLDER

soxi, flac, metaflac, ffprobe, ffmpeg, mediainfo and unzip where they are installed (what is not is named); Python's own
zipfile and csv. RIFF chunks are taken apart here after the specification.
"""

import csv
import datetime
import json
import shutil
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

from report import Report

# As many files of a format as are looked at closely: the first of each track and key.
MOST_FILES = 6
NEEDED = ("soxi", "flac", "metaflac", "ffprobe", "ffmpeg", "mediainfo", "unzip")


def has(tool):
    return shutil.which(tool) is not None


def said_by(*command):
    """What a command prints, as bytes; it must succeed."""
    return subprocess.run(command, check=True, capture_output=True).stdout


def markers_of(take, entry):
    """Labels and frames that must be found, by the manifest: where choruses and sections begin. A file without the
    count-in begins later than its take."""
    begins = entry["sound"].get("begins", 0)
    expected = set()
    for before, bar in zip([None, *take["bars"]], take["bars"]):
        if bar["kind"] == "count-in" and before is None:
            expected.add(("Count-in", bar["frame"] - begins))
        if bar.get("section"):
            expected.add((bar["section"], bar["frame"] - begins))
    return {(label, frame) for label, frame in expected if frame >= 0}


def riff_chunks(path):
    """The chunks before the samples, and the place and size of these."""
    chunks = []
    with open(path, "rb") as file:
        riff, size, wave = struct.unpack("<4sI4s", file.read(12))
        assert (riff, wave) == (b"RIFF", b"WAVE") and size == path.stat().st_size - 8, path
        while True:
            name, size = struct.unpack("<4sI", file.read(8))
            if name == b"data":
                return chunks, (file.tell(), size)
            chunks.append((name, file.read(size + size % 2)[:size]))


def cues(chunks):
    """(label, frame) of every cue point."""
    content = dict(chunks).get(b"cue ")
    if content is None:
        return set()
    count = struct.unpack_from("<I", content)[0]
    frames = {}
    for index in range(count):
        number, _, _, _, _, frame = struct.unpack_from("<II4sIII", content, 4 + 24 * index)
        frames[number] = frame
    found = set()
    for name, content in chunks:
        if name == b"LIST" and content[:4] == b"adtl":
            at = 4
            while at < len(content):
                kind, size = struct.unpack_from("<4sI", content, at)
                number = struct.unpack_from("<I", content, at + 8)[0]
                found.add((content[at + 12 : at + 8 + size].rstrip(b"\0").decode(), frames[number]))
                at += 8 + size + size % 2
    return found


def check_wav(report, path, take, entry):
    chunks, (start, size) = riff_chunks(path)
    found = cues(chunks)
    report.check(markers_of(take, entry) <= found, f"{path}: cues {sorted(found)}, the manifest has {sorted(markers_of(take, entry))}")
    report.check(any(label.startswith("Chorus 1") for label, _ in found), f"{path}: no chorus among the cues")
    return path.read_bytes()[start : start + size]


def check_flac(report, path, entry, wav_samples, bits):
    if has("flac"):
        # From standard input: given a name, flac 1.4 puts the file's time on a WAV file beside it.
        with open(path, "rb") as file:
            tested = subprocess.run(["flac", "-t", "-s", "-"], capture_output=True, text=True, stdin=file)
        report.check(tested.returncode == 0 and not tested.stderr, f"{path}: flac -t: {tested.stderr}")
        if wav_samples is not None and bits in (16, 24):
            command = ["flac", "-d", "-c", "-s", "--force-raw-format", "--endian=little", "--sign=signed", "-"]
            with open(path, "rb") as file:
                raw = subprocess.run(command, check=True, capture_output=True, stdin=file).stdout
            report.check(raw == wav_samples, f"{path}: its samples are not those of the WAV file")
    if has("metaflac"):
        listed = said_by("metaflac", "--show-total-samples", "--show-md5sum", path).decode().split()
        report.check(int(listed[0]) == entry["sound"]["frames"], f"{path}: {listed[0]} frames")
        report.check(set(listed[1]) != {"0"}, f"{path}: no MD5")


def check_soxi(report, path, rate, entry):
    if not has("soxi") or path.suffix == ".mp3":
        return
    told = [said_by("soxi", option, path).decode().strip() for option in ("-r", "-c", "-s")]
    expected = [str(rate), "2", str(entry["sound"]["frames"])]
    report.check(told == expected, f"{path}: soxi says {told}, not {expected}")


def same(one, other):
    """Whether two texts or numbers mean the same: 2 and 2/7, 80 and 80.0."""
    one, other = str(one), str(other)
    return one == other or one.split("/")[0] == other or (one and other and is_number(one) and is_number(other) and abs(float(one) - float(other)) < 0.51)


def is_number(text):
    return text.replace(".", "", 1).isdigit()


def check_ffprobe(report, path, tags, take, entry):
    if not has("ffprobe"):
        return
    told = json.loads(said_by("ffprobe", "-v", "error", "-of", "json", "-show_format", "-show_chapters", path))
    found = {name.lower(): text for name, text in told["format"].get("tags", {}).items()}
    names = {
        "title": ["title"], "album": ["album"], "teacher": ["artist"], "copyright": ["copyright"],
        "year": ["date"], "track": ["track"], "key": ["tkey", "initialkey", "comment"], "tempo": ["tbpm", "bpm", "comment"],
    }
    for tag, expected in tags.items():
        texts = [found.get(name, "") for name in names[tag]]
        holds = any(same(text, expected) or str(expected) in text for text in texts)
        report.check(holds, f"{path}: ffprobe finds no {tag} {expected!r} in {found}")
    titles = [chapter["tags"]["title"] for chapter in told["chapters"]]
    report.check(any(title.startswith("Chorus 1") for title in titles), f"{path}: ffprobe finds the chapters {titles}")
    starts = {(chapter["tags"]["title"], float(chapter["start_time"])) for chapter in told["chapters"]}
    for label, frame in markers_of(take, entry):
        near = any(title == label and abs(start - frame / take["rate"]) < 0.0011 for title, start in starts)
        report.check(near, f"{path}: ffprobe finds no chapter {label} at frame {frame}")


def check_mediainfo(report, path, tags, frames):
    if not has("mediainfo"):
        return
    told = json.loads(said_by("mediainfo", "--Output=JSON", path))["media"]["track"]
    general = told[0]
    sound = next(track for track in told if track["@type"] == "Audio")
    extra = general.get("extra", {})
    found = {
        "title": general.get("Title"), "album": general.get("Album"), "teacher": general.get("Performer"),
        "copyright": general.get("Copyright"), "year": general.get("Recorded_Date"), "track": general.get("Track_Position"),
        "key": extra.get("Initial_key") or extra.get("INITIALKEY"), "tempo": general.get("BPM"),
    }
    for tag, expected in tags.items():
        report.check(same(found[tag], expected), f"{path}: mediainfo says {tag} {found[tag]!r}, not {expected!r}")
    slack = 2 * 1152 + 1 if path.suffix == ".mp3" else 0
    count = int(sound["SamplingCount"])
    report.check(0 <= count - frames <= slack, f"{path}: mediainfo counts {count} frames, not {frames}")


def check_mp3(report, path, entry, rate):
    if has("ffmpeg"):
        raw = said_by("ffmpeg", "-v", "error", "-i", path, "-f", "s16le", "-")
        report.check(len(raw) // 4 == entry["sound"]["frames"], f"{path}: ffmpeg decodes {len(raw) // 4} frames, not {entry['sound']['frames']}")


def check_zip(report, path, folder, files):
    if has("unzip"):
        said = subprocess.run(["unzip", "-tq", path], capture_output=True, text=True)
        report.check(said.returncode == 0, f"{path}: unzip -t: {said.stdout}")
    with zipfile.ZipFile(path) as archive:
        report.check(archive.testzip() is None, f"{path}: zipfile finds a damaged file")
        names = archive.namelist()
        expected = sorted(f"{path.stem}/{name}" for name, entry in files.items() if entry["purpose"] != "zip")
        report.check(names == expected, f"{path}: holds {names[:4]} …, not {expected[:4]} …")
        for info in archive.infolist():
            report.check(info.date_time == (1980, 1, 1, 0, 0, 0), f"{path}: {info.filename} is of {info.date_time}")
            is_packed = info.filename.endswith((".wav", ".flac", ".mp3", ".pdf"))
            stored = info.compress_type == zipfile.ZIP_STORED
            report.check(stored == is_packed, f"{path}: {info.filename} is compressed as {info.compress_type}")
            if not is_packed:
                inner = info.filename.split("/", 1)[1]
                report.check(archive.read(info) == (folder / inner).read_bytes(), f"{path}: {inner} differs")


def check_bar_times(report, path, take):
    with open(path, newline="") as file:
        rows = list(csv.DictReader(file))
    report.check(len(rows) == len(take["bars"]), f"{path}: {len(rows)} rows")
    for row, bar in zip(rows, take["bars"]):
        holds = int(row["frame"]) == bar["frame"] and row["chords"].split() == bar["chords"] and row["kind"] == bar["kind"]
        hours, minutes, seconds = row["timecode"].split(":")
        clock = datetime.timedelta(hours=int(hours), minutes=int(minutes), seconds=float(seconds)).total_seconds()
        exact = bar["frame"] / take["rate"]
        holds = holds and abs(clock - exact) <= 0.00051 and abs(float(row["seconds"]) - exact) < 1e-6
        report.check(holds, f"{path}: {row} against {bar}")


def tags_of(path, entry, take, lesson):
    """What must be found in a file; the lesson's own lines where they are given."""
    tags = {"album": lesson["title"], "track": take["track"]}
    # The first mix is called by track, key and tempo; others say what sets them apart, too.
    first_mix = path.stem == entry["take"]
    paces = {"_slow": ", slow", "_at-tempo": ", at tempo"}
    pace = next((words for ending, words in paces.items() if entry["take"].endswith(ending)), "")
    title = take["name"]
    if take["key"]:
        tags["key"] = take["key"]
        title += f", in {take['key']}"
    if len(take["tempo-map"]) == 1:
        tags["tempo"] = f"{take['tempo-map'][0]['bpm']:g}"
        title += f", {tags['tempo']} bpm{pace}"
    tags["title"] = title if first_mix else None
    tags.update({name: lesson[name] for name in ("teacher", "year", "copyright") if name in lesson})
    return {name: text for name, text in tags.items() if text is not None}


def lesson_of(folder, manifest):
    """Title, and teacher, year and copyright where the lesson file stands beside the set."""
    lesson = {"title": manifest["title"]}
    source = folder.with_suffix(".toml")
    if source.exists():
        import tomllib

        table = tomllib.loads(source.read_text())
        lesson.update({name: table[name] for name in ("teacher", "year", "copyright") if name in table})
    return lesson


def main(folder):
    report = Report()
    manifest = json.loads((folder / "manifest.json").read_text())
    files, takes = manifest["files"], manifest["takes"]
    lesson = lesson_of(folder, manifest)
    seen = {}
    for name, entry in files.items():
        path = folder / name
        if entry["purpose"] == "zip":
            check_zip(report, path, folder, files)
        elif entry["purpose"] == "bar-times":
            check_bar_times(report, path, takes[entry["take"]])
        elif entry["purpose"] == "mix":
            seen[path.suffix] = seen.get(path.suffix, 0) + 1
            if seen[path.suffix] > MOST_FILES:
                continue
            take = takes[entry["take"]]
            check_soxi(report, path, take["rate"], entry)
            tags = tags_of(path, entry, take, lesson)
            check_ffprobe(report, path, tags, take, entry)
            check_mediainfo(report, path, tags, entry["sound"]["frames"])
            wav = path.with_suffix(".wav")
            if path.suffix == ".wav":
                check_wav(report, path, take, entry)
            elif path.suffix == ".flac":
                same_samples = f"{name[:-5]}.wav" in files
                samples = check_wav(report, wav, take, entry) if same_samples else None
                bits = len(samples) * 4 // entry["sound"]["frames"] if samples else None
                check_flac(report, path, entry, samples, bits)
            elif path.suffix == ".mp3":
                check_mp3(report, path, entry, take["rate"])
    for failure in report.failed[:20]:
        print("FAILED", failure)
    absent = [tool for tool in NEEDED if not has(tool)]
    if absent:
        print(f"formats: not installed, skipped: {', '.join(absent)}")
    looked_at = ", ".join(f"{min(count, MOST_FILES)} {suffix[1:]}" for suffix, count in sorted(seen.items()))
    print(f"formats: {looked_at}: {report.passed} passed, {len(report.failed)} failed")
    return 1 if report.failed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
