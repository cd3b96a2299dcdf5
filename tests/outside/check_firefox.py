"""Opens practice pages in a headless Firefox, from the disk: they play, the mark follows, bars repeat,
what is chosen is remembered, nothing is asked of a network.

    check_firefox.py FIREFOX SET_FOLDER [PICTURES_FOLDER]

Any Firefox since 129 is driven by the W3C's WebDriver BiDi, which it speaks itself.
"""

import base64
import itertools
import json
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from websockets.sync.client import connect

PREFERENCES = """
user_pref("media.autoplay.default", 0);
user_pref("media.autoplay.blocking_policy", 0);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("app.update.auto", false);
user_pref("browser.shell.checkDefaultBrowser", false);
"""

# Every 4 ms: where the sounding file is, and what the page marks.
WATCH = """
(() => {
  window.audios = []; window.seen = [];
  const Plain = window.Audio;
  window.Audio = function (...given) { const made = new Plain(...given); window.audios.push(made); return made; };
  setInterval(() => {
    const sounding = window.audios.filter((audio) => !audio.paused && !audio.muted && audio.volume > 0.01 && !audio.ended);
    const bar = document.querySelector('.bar[aria-current]');
    const gone = bar ? Number(/scaleX\\((.*)\\)/.exec(bar.querySelector('.gone').style.transform)?.[1] ?? 0) : 0;
    window.seen.push([performance.now(), sounding.map((audio) => audio.currentTime), bar ? Number(bar.dataset.bar) : null, gone]);
  }, 4);
})
"""


class Firefox:
    """One page in a Firefox of its own."""

    def __init__(self, program):
        self.profile = tempfile.TemporaryDirectory()
        (Path(self.profile.name) / "user.js").write_text(PREFERENCES)
        command = [program, "--headless", "--no-remote", "--profile", self.profile.name, "--remote-debugging-port", "0"]
        self.process = subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
        for line in self.process.stderr:
            if found := re.search(r"WebDriver BiDi listening on (\S+)", line):
                break
        self.socket = connect(found[1] + "/session", max_size=None, legacy=True)
        self.numbers = itertools.count(1)
        self.requests = []
        self.errors = []
        self.ask("session.new", capabilities={})
        self.ask("session.subscribe", events=["network.beforeRequestSent", "log.entryAdded"])
        self.ask("script.addPreloadScript", functionDeclaration=WATCH)
        self.context = self.ask("browsingContext.getTree")["contexts"][0]["context"]

    def ask(self, method, **params):
        number = next(self.numbers)
        self.socket.send(json.dumps({"id": number, "method": method, "params": params}))
        while True:
            said = json.loads(self.socket.recv(timeout=60))
            if said.get("method") == "network.beforeRequestSent":
                self.requests.append(said["params"]["request"]["url"])
            elif said.get("method") == "log.entryAdded" and said["params"]["level"] == "error":
                self.errors.append(said["params"]["text"])
            if said.get("id") == number:
                assert "result" in said, said
                return said["result"]

    def open(self, address):
        self.ask("browsingContext.navigate", context=self.context, url=address, wait="complete")

    def evaluate(self, expression):
        """A value of the page, as JSON."""
        target = {"context": self.context}
        wrapped = f"JSON.stringify({expression})"
        said = self.ask("script.evaluate", expression=wrapped, target=target, awaitPromise=True)
        assert said["type"] == "success", said
        return json.loads(said["result"].get("value", "null"))

    def picture(self, path, width, height):
        self.ask("browsingContext.setViewport", context=self.context, viewport={"width": width, "height": height})
        time.sleep(0.3)
        said = self.ask("browsingContext.captureScreenshot", context=self.context)
        path.write_bytes(base64.b64decode(said["data"]))

    def close(self):
        self.socket.close()
        self.process.terminate()
        self.process.wait(20)


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


def main(program, folder, pictures):
    failed, passed = [], 0

    def check(holds, message):
        nonlocal passed
        passed += bool(holds)
        if not holds:
            failed.append(message)

    firefox = Firefox(program)
    try:
        firefox.open((folder / "index.html").resolve().as_uri())
        data = json.loads(firefox.evaluate("document.getElementById('lesson-data').textContent"))
        check(firefox.evaluate("document.title") == data["title"], "the title is not the title")
        take = data["tracks"][0]["takes"][0]
        times = bar_times(data, take)
        click = "document.querySelectorAll('{}')[{}].click()"
        firefox.evaluate(click.format("button.name", 0) + " ?? null")
        time.sleep(1)
        firefox.evaluate("window.seen.length = 0")
        firefox.evaluate(click.format(".bar", 1) + " ?? null")
        time.sleep(1.5)
        samples = [sample for sample in firefox.evaluate("window.seen") if sample[1]]
        check(len(samples) > 50, "the first track does not play")
        off = [places[0] - times[bar] - gone * (times[bar + 1] - times[bar]) for _, places, bar, gone in samples[20:] if bar is not None]
        if off:
            late = sorted(map(abs, off))
            print(f"firefox: the mark is {statistics.median(late) * 1000:.1f} ms off in the median, {late[int(len(late) * 0.95)] * 1000:.1f} ms at most (of 95 %)")
            check(late[int(len(late) * 0.95)] <= 0.03, "the mark is more than 30 ms off the sound")
        shift = "document.querySelectorAll('.bar')[2].dispatchEvent(new MouseEvent('click', {bubbles: true, shiftKey: true}))"
        firefox.evaluate(shift)
        firefox.evaluate(shift)
        firefox.evaluate("window.seen.length = 0")
        period = times[3] - times[2]
        time.sleep(period * 10.6)
        moments, before, current = [], None, []
        for now, places, _, _ in firefox.evaluate("window.seen"):
            if len(places) != 1 or not times[2] - 0.05 <= places[0] <= times[3] + 0.1:
                continue
            if before is not None and places[0] < before - period / 2:
                moments.append(statistics.median(current))
                current = []
            before = places[0]
            current.append(now / 1000 - (places[0] - times[2]))
        moments = moments[1:]
        wrong = [1000 * (moment - moments[0] - index * period) for index, moment in enumerate(moments)]
        print(f"firefox: {len(moments)} rounds without a gap, off by {', '.join(f'{value:+.1f}' for value in wrong)} ms")
        check(len(moments) >= 8, "the repeat does not hold")
        check(moments and max(map(abs, wrong)) <= 20, "the repeat is more than 20 ms off")
        firefox.evaluate(click.format(".track input", 0) + " ?? null")
        firefox.evaluate(click.format(".play", 0) + " ?? null")
        if pictures:
            for width, height in [(360, 740), (1440, 900)]:
                firefox.picture(pictures / f"firefox-{width}.png", width, height)
        firefox.open((folder / "index.html").resolve().as_uri())
        check(firefox.evaluate("document.querySelector('.track input').checked"), "what was ticked off is forgotten")
        away = [url for url in firefox.requests if not url.startswith(("file:", "data:", "about:", "blob:", "moz-extension:", "resource:", "chrome:"))]
        check(not away, f"requests leave: {away[:3]}")
        check(not firefox.errors, f"errors: {firefox.errors[:3]}")
    finally:
        firefox.close()
    for failure in failed:
        print("FAILED", failure)
    print(f"firefox: {passed} passed, {len(failed)} failed, {len(firefox.requests)} requests")
    return 1 if failed else 0


if __name__ == "__main__":
    pictures = Path(sys.argv[3]) if len(sys.argv) > 3 else None
    if pictures:
        pictures.mkdir(parents=True, exist_ok=True)
    sys.exit(main(sys.argv[1], Path(sys.argv[2]), pictures))
