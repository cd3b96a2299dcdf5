"""Opens practice pages in a headless Chromium, from the disk, as a student does: plays every track,
watches the mark, times a repeat, looks for requests, and asks axe-core about access.

    check_page.py CHROMIUM SET_FOLDER HARD_SET_FOLDER LARGE_SET_FOLDER [PICTURES_FOLDER]

The second set is made from page/lesson.toml, the third from page/large.toml. Screenshots go to the pictures folder, to be looked at.
"""

import json
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

from report import Report

# Every 4 ms: which file sounds, where it is, and what the page marks. Elements that the page makes
# are caught by the constructor that it calls.
WATCH = """
window.seen = [];
window.audios = [];
const Plain = window.Audio;
window.Audio = function (...given) { const made = new Plain(...given); window.audios.push(made); return made; };
window.watch = () => setInterval(() => {
  const sounding = window.audios.filter((audio) => !audio.paused && !audio.muted && audio.volume > 0.01 && !audio.ended);
  const bar = document.querySelector('.bar[aria-current]');
  const gone = bar ? Number(/scaleX\\((.*)\\)/.exec(bar.querySelector('.gone').style.transform)?.[1] ?? 0) : 0;
  window.seen.push([performance.now(), sounding.map((audio) => audio.currentTime), bar ? Number(bar.dataset.bar) : null, gone]);
}, 4);
"""


def data_of(page):
    return json.loads(page.locator("#lesson-data").text_content())


def choose(page, track):
    if not page.locator(".fold").evaluate("fold => fold.open"):
        page.locator(".fold > summary").click()
    page.locator("button.name").nth(track).click()


def wait_for(page, expression, seconds=8):
    """Asks until it is so. (The page forbids what Playwright's own waiting does.)"""
    until = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < until, f"not within {seconds} s: {expression}"
        time.sleep(0.02)


def seen(page, seconds):
    """What is watched for some seconds."""
    page.evaluate("window.seen.length = 0; window.watching ??= window.watch()")
    time.sleep(seconds)
    return page.evaluate("window.seen.slice()")


def bar_times(data, take):
    """When bars begin, in seconds: reckoned here as the format of the data says."""
    score = data["scores"][take["score"]]
    times = []
    for index in range(len(score["order"]) + 1):
        tick = take["start"] + index * score["bar"]
        ends = [at for at, _ in take["tempos"][1:]] + [float("inf")]
        micros = sum(max(0, min(tick, end) - at) * tempo for (at, tempo), end in zip(take["tempos"], ends))
        before = take["lead"] - take["sounds"][0].get("begins", 0)
        times.append(before / data["rate"] + micros / 960e6)
    return times


def chosen(page, track):
    """The take that the page has chosen: the one of before, where a track has it."""
    key, tempo = (page.locator(f"input[name=choose-{what}]:checked").input_value() for what in ("Key", "Tempo"))
    return next(take for take in track["takes"] if (take["key"], take["tempo"]) == (key, tempo))


def check_playing(report, page, name):
    """Every track plays, and the mark is where the sound is."""
    data = data_of(page)
    off = []
    for index, track in enumerate(data["tracks"]):
        choose(page, index)
        wait_for(page, "window.audios.some((audio) => !audio.paused && audio.currentTime > 0)")
        times = bar_times(data, chosen(page, track))
        page.locator(".bar").nth(1).click()
        samples = [sample for sample in seen(page, 1.2) if sample[1]]
        report.check(len(samples) > 20, f"{name}, track {index + 1}: does not play")
        moved = samples[-1][1][0] - samples[0][1][0] if samples else 0
        report.check(moved > 0.5, f"{name}, track {index + 1}: moved {moved:.2f} s in 1.2 s")
        for _, places, bar, gone in samples[10:]:
            if bar is not None:
                marked = times[bar] + gone * (times[bar + 1] - times[bar])
                off.append(places[0] - marked)
        page.locator(".play").click()
    # A mark is drawn once a frame, and on a busy machine now and then a frame late.
    late = sorted(abs(value) for value in off)
    worst = late[int(len(late) * 0.95)]
    report.check(worst <= 0.030, f"{name}: the mark is {worst * 1000:.0f} ms off the sound")
    print(f"page: the mark is {statistics.median(late) * 1000:.1f} ms off the sound in the median, {worst * 1000:.1f} ms at most (of 95 %), {len(off)} samples")


def rounds(samples, start, length):
    """For every round: the moment, in seconds, at which the sound was (or would have been) at `start`."""
    moments, before = [], None
    current = []
    for now, places, _, _ in samples:
        if len(places) != 1 or not start - 0.05 <= places[0] <= start + length + 0.1:
            continue
        if before is not None and places[0] < before - length / 2:
            moments.append(statistics.median(current))
            current = []
        before = places[0]
        current.append(now / 1000 - (places[0] - start))
    return moments + [statistics.median(current)] if current else moments


def check_repeat(report, page, silence, wanted):
    """Repeated bars come round in time. A machine that does other work may spoil a try, not three."""
    for _ in range(3):
        count, off = repeat(page, silence, wanted)
        if count >= wanted - 1 and max(map(abs, off)) <= 20:
            break
    report.check(count >= wanted - 1, f"repeat: {count} rounds in {wanted} periods")
    report.check(max(map(abs, off)) <= 20, f"repeat: off by {[round(value) for value in off]} ms")


def repeat(page, silence, wanted):
    """Repeats a bar; how many rounds there were, and by how many milliseconds each was off."""
    data = data_of(page)
    choose(page, 0)
    take = data["tracks"][0]["takes"][0]
    times = bar_times(data, take)
    page.locator(".bar").nth(2).click(modifiers=["Shift"])
    page.locator(".bar").nth(2).click(modifiers=["Shift"])
    if page.locator(".tool input[type=checkbox]").is_checked() != silence:
        page.locator(".tool input[type=checkbox]").click()
    start, end = times[2], times[3]
    period = (end - start) * (2 if silence else 1)
    samples = seen(page, period * (wanted + 0.6))
    moments = rounds(samples, start, end - start)
    # The first round may have been broken into.
    moments = moments[-wanted:]
    off = [1000 * (moment - moments[0] - index * period) for index, moment in enumerate(moments)]
    kind = "with a bar of silence" if silence else "without a gap"
    print(f"page: {len(moments)} rounds {kind}, off by {', '.join(f'{value:+.1f}' for value in off)} ms")
    page.locator(".play").click()
    page.keyboard.press("\\")
    return len(moments), off


def check_parts(report, page):
    """The stems sound together."""
    choose(page, 0)
    page.get_by_text("your own", exact=True).click()
    samples = seen(page, 2.5)
    apart = [max(places) - min(places) for _, places, _, _ in samples[len(samples) // 2 :] if len(places) > 1]
    report.check(len(apart) > 20, "stems: they do not sound together")
    if apart:
        worst = sorted(apart)[int(len(apart) * 0.95)]
        report.check(worst < 0.015, f"stems: {worst * 1000:.0f} ms apart")
        print(f"page: {len(samples[-1][1])} stems at most {worst * 1000:.1f} ms apart (of 95 %)")
    sliders = page.locator(".faders input")
    sliders.first.fill("0")
    quiet = page.evaluate("window.audios.filter((audio) => !audio.paused).map((audio) => audio.volume)")
    report.check(min(quiet) < 0.001 and max(quiet) == 1, f"stems: volumes {quiet}")
    page.locator(".play").click()


def check_keys(report, page):
    choose(page, 0)
    page.locator("#piece").focus()
    current = lambda: page.locator(".bar[aria-current]").get_attribute("data-bar")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    time.sleep(0.1)
    report.check(current() == "2", f"keys: two bars on from the start is {current()}")
    page.keyboard.press(" ")
    report.check(page.locator(".play").text_content() == "play", "keys: space does not pause")
    page.keyboard.press("t")
    report.check(page.locator("input[name=choose-Tempo]:checked").input_value() != "240", "keys: t does not change the tempo")
    page.keyboard.press("-")
    report.check("approximate" in page.locator(".speed-words").text_content(), "keys: slower is not told to be approximate")
    page.keyboard.press("d")
    box = page.locator(".track input").first
    report.check(box.is_checked(), "keys: d does not tick off")
    page.reload()
    report.check(page.locator(".track input").first.is_checked(), "what was ticked off is forgotten")
    report.check(page.locator("input[name=choose-Tempo]:checked").input_value() != "240", "the tempo chosen is forgotten")


def check_text(report, page):
    """What looks like markup stays text."""
    title = data_of(page)["title"]
    report.check(page.locator("h1").text_content() == title, "the title is not the title")
    report.check(page.title() == title, f"the document is called {page.title()}")
    report.check(page.locator("img").count() == 0, "there is an image")
    report.check(page.locator(".teacher").text_content() == "O'Brien & <b>Daughters</b>", "the teacher's name is not text")


def check_access(report, page, name):
    results = Axe().run(page).response
    serious = [found for found in results["violations"] if found["impact"] in ("serious", "critical")]
    for found in serious:
        report.check(False, f"{name}: axe-core: {found['id']}: {found['nodes'][0]['html'][:160]}")
    report.check(not serious, f"{name}: axe-core finds {len(serious)} serious problems")
    print(f"page: axe-core: {len(results['passes'])} rules hold, {len(results['violations'])} do not, {len(serious)} of them serious ({name})")


def check_widths(report, browser, address, pictures):
    for width, height, scheme in [(360, 740, "light"), (820, 1180, "dark"), (1440, 900, "light")]:
        page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        page.goto(address)
        choose(page, len(data_of(page)["tracks"]) - 1)
        time.sleep(0.4)
        page.locator(".play").click()
        wide = page.evaluate("document.documentElement.scrollWidth")
        report.check(wide <= width, f"at {width} pixels the page is {wide} wide")
        check_access(report, page, f"{width} pixels, {scheme}")
        if pictures:
            page.screenshot(path=pictures / f"page-{width}-{scheme}.png")
            if width > 1000:
                page.pdf(path=pictures / "page-a4.pdf", format="A4")
                page.pdf(path=pictures / "page-letter.pdf", format="Letter")
        page.close()


def check_large(report, browser, folder, pictures):
    """192 sound files: the page opens at once, is small, and can be used on a phone."""
    page = browser.new_page(viewport={"width": 360, "height": 740})
    address = (folder / "index.html").resolve()
    started = time.monotonic()
    page.goto(address.as_uri())
    page.locator(".bar").first.wait_for()
    opened = time.monotonic() - started
    sounds = [sound for track in data_of(page)["tracks"] for take in track["takes"] for sound in take["sounds"]]
    size = address.stat().st_size
    print(f"page: {len(sounds)} sound files, {size} bytes, open after {opened:.2f} s")
    report.check(len(sounds) == 192, f"large: {len(sounds)} sound files")
    report.check(size < 300_000, f"large: {size} bytes")
    report.check(opened < 1, f"large: open after {opened:.2f} s")
    for what, count in [("Key", 12), ("Tempo", 4), ("Mix", 4)]:
        found = page.locator(f"input[name=choose-{what}]").count()
        report.check(found == count, f"large: {found} choices of {what}")
    report.check(page.evaluate("document.documentElement.scrollWidth") <= 360, "large: wider than a phone")
    page.locator("input[name=choose-Key][value=Bb]").check(force=True)
    report.check(page.locator(".chord b").first.text_content() == "B\u266d", "large: the key does not change the chart")
    check_access(report, page, "192 files, 360 pixels")
    if pictures:
        page.screenshot(path=pictures / "page-large-360.png")
    page.close()


def check_missing(report, browser, folder):
    """A sound file that is gone is told of, and the next one plays."""
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "set"
        shutil.copytree(folder, copy)
        page = browser.new_page()
        page.add_init_script(WATCH)
        page.goto((copy / "index.html").resolve().as_uri())
        sounds = [track["takes"][0]["sounds"][0]["path"] for track in data_of(page)["tracks"]]
        (copy / sounds[1]).unlink()
        choose(page, 1)
        time.sleep(0.5)
        said = page.locator(".transport .status").text_content()
        report.check("cannot be played" in said, f"a missing file: the page says {said!r}")
        report.check(page.locator(".play").text_content() == "play", "a missing file: it seems to play")
        choose(page, 2)
        wait_for(page, "window.audios.some((audio) => !audio.paused && audio.currentTime > 0)")
        report.check(page.locator(".transport .status").text_content() == "", "the message stays")
        page.close()


def check_without_memory(report, browser, address):
    """A browser that keeps nothing: the page plays all the same."""
    page = browser.new_page()
    page.on("pageerror", lambda error: report.check(False, f"without a memory: {error}"))
    page.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });")
    page.add_init_script(WATCH)
    page.goto(address)
    choose(page, 0)
    wait_for(page, "window.audios.some((audio) => !audio.paused && audio.currentTime > 0)")
    page.locator(".track input").first.check()
    report.check(page.locator(".track input").first.is_checked(), "without a memory: nothing can be ticked off")
    page.close()


def check_without_script(report, browser, address):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    report.check(page.locator(".charts td").first.is_visible(), "without a script the charts are not to be seen")
    page.locator(".files summary").first.click()
    report.check(page.locator(".files a").first.is_visible(), "without a script the files are not to be reached")
    context.close()


def main(chromium, folder, hard, large, pictures):
    report = Report()
    requests = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        for path, is_hard in [(folder, False), (hard, True)]:
            address = (path / "index.html").resolve().as_uri()
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.add_init_script(WATCH)
            page.on("request", lambda request: requests.append(request.url))
            page.on("pageerror", lambda error: report.check(False, f"error on the page: {error}"))
            started = time.monotonic()
            page.goto(address)
            page.locator(".bar").first.wait_for()
            print(f"page: open after {time.monotonic() - started:.2f} s, {(path / 'index.html').stat().st_size} bytes")
            if is_hard:
                check_text(report, page)
                check_repeat(report, page, False, 10)
                check_repeat(report, page, True, 4)
                check_parts(report, page)
                check_keys(report, page)
            check_playing(report, page, path.name)
            page.close()
        check_widths(report, browser, (folder / "index.html").resolve().as_uri(), pictures)
        check_large(report, browser, large, pictures)
        check_missing(report, browser, hard)
        check_without_memory(report, browser, (hard / "index.html").resolve().as_uri())
        check_without_script(report, browser, (folder / "index.html").resolve().as_uri())
        browser.close()
    away = [url for url in requests if not url.startswith(("file://", "data:"))]
    report.check(not away, f"requests leave: {away[:3]}")
    for failure in report.failed[:20]:
        print("FAILED", failure)
    print(f"page: {report.passed} passed, {len(report.failed)} failed, {len(requests)} requests, none to a network" if not away else "page: requests leave")
    return 1 if report.failed else 0


if __name__ == "__main__":
    pictures = Path(sys.argv[5]) if len(sys.argv) > 5 else None
    if pictures:
        pictures.mkdir(parents=True, exist_ok=True)
    sys.exit(main(sys.argv[1], *map(Path, sys.argv[2:5]), pictures))
