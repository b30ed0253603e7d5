"""Measure the page with real hands: ``python -m tests.benchmarks.page``.

Prints, for a desktop and for a phone whose processor is slowed four times, at 12 and 48
megapixels: photo shown, frame time of a drag, and pointer up to the length drawn; then
the measure route with ten people at once. Needs Debian's chromium.
"""

import json
import tempfile
import time
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import median, quantiles
from typing import Any, Final

import cv2
from playwright.sync_api import Page as Tab
from playwright.sync_api import sync_playwright

from tests.ui.conftest import ARGUMENTS, CHROMIUM
from tests.ui.stories.conftest import Page, Person

SAMPLES: Final = Path(__file__).parents[2] / "sample_images"
ENLARGED: Final = {"12 MP": 1, "48 MP": 2}
SLOWED: Final = {"desktop": 1, "phone": 4}
DRAGS: Final = 20
PEOPLE: Final = 10
ASKED_EACH: Final = 20

SHOWN: Final = """() => new Promise((resolve) => {
  const look = () => {
    const photo = document.querySelector(".dr-stage .dr-preview");
    if (photo?.complete && document.querySelector(".dr-label")) {
      requestAnimationFrame(() => resolve(performance.now()));
    } else requestAnimationFrame(look);
  };
  look();
})"""

WATCH: Final = """() => {
  window.watch = { frames: [], up: 0, label: 0, last: 0 };
  const frame = (now) => {
    if (window.watch.last) window.watch.frames.push(now - window.watch.last);
    window.watch.last = now;
    requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
  addEventListener("pointerup", () => { window.watch.up = performance.now(); }, true);
  new MutationObserver(() => { window.watch.label = performance.now(); })
    .observe(document.querySelector(".dr-labels"), {
      childList: true, subtree: true, characterData: true });
}"""


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as home:
        began = time.perf_counter()
        page = Page(Path(home))
        print(f"start to listening {time.perf_counter() - began:.1f} s")
        try:
            with sync_playwright() as play:
                browser = play.chromium.launch(
                    executable_path=str(CHROMIUM), args=ARGUMENTS
                )
                jobs = {name: _job(page, by) for name, by in ENLARGED.items()}
                for screen in SLOWED:
                    for name, job in jobs.items():
                        _hand(browser, page, screen, (name, job))
            _together(page, jobs["12 MP"])
        finally:
            page.kill()


def _send(page: Page, method: str, path: str, body: bytes, kind: str) -> Any:
    request = urllib.request.Request(  # noqa: S310
        page.address + path, body, {"content-type": kind, "origin": page.address}
    )
    request.method = method
    with urllib.request.urlopen(request) as answer:  # noqa: S310
        return json.load(answer)


def _json(page: Page, method: str, path: str, body: dict[str, Any]) -> Any:
    return _send(page, method, path, json.dumps(body).encode(), "application/json")


def _job(page: Page, by: int) -> str:
    """Make a job of the sample house's front, enlarged, and return its id."""
    photo = cv2.imread(str(SAMPLES / "front.jpg"))
    larger = cv2.resize(photo, None, fx=by, fy=by, interpolation=cv2.INTER_CUBIC)
    jpeg = cv2.imencode(".jpg", larger, [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes()
    job = _json(page, "POST", "/jobs", {"title": f"times {by}"})["job"]
    head = (
        b"--cut\r\nContent-Disposition: form-data; name=photos; filename=front.jpg\r\n"
        b"Content-Type: image/jpeg\r\n\r\n"
    )
    path = f"/work-on/{job}/photos"
    answer = _send(
        page,
        "POST",
        path,
        head + jpeg + b"\r\n--cut--\r\n",
        "multipart/form-data; boundary=cut",
    )
    (kept,) = answer["document"]["elevations"]
    front = json.loads((SAMPLES / "house.job.json").read_text("utf-8"))["elevations"][0]
    larger_front = _scaled(front, by) | {"name": kept["name"], "photo": kept["photo"]}
    document = answer["document"] | {"elevations": [larger_front]}
    whole = {"base": answer["revision"], "document": document, "who": ""}
    _json(page, "PUT", f"/work-on/{job}", whole)
    return str(job)


def _scaled(item: Any, by: int) -> Any:
    """Return a job file's value with every pick at another size of the photo."""
    if isinstance(item, dict):
        return {key: _scaled(value, by) for key, value in item.items()}
    if (
        isinstance(item, list)
        and len(item) == 2
        and all(isinstance(v, float) for v in item)
    ):
        return [(v + 0.5) * by - 0.5 for v in item]
    return [_scaled(value, by) for value in item] if isinstance(item, list) else item


def _hand(browser: Any, page: Page, screen: str, named: tuple[str, str]) -> None:
    size, job = named
    person = Person(browser, f"{page.address}/?job={job}", screen, base_url=page.address)
    person.draw()
    tab = person.page
    devtools = person.context.new_cdp_session(tab)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED[screen]})
    shown = []
    for _ in range(5):
        tab.reload(wait_until="commit")
        shown.append(float(tab.evaluate(SHOWN)))
    person.wait_drawing()
    tab.evaluate(WATCH)
    end = json.loads(json.dumps(person.document()))["elevations"][0]["lines"][0]["picks"][1]
    frames, waits = _drags(person, tab, (end[0], end[1]))
    print(
        f"{screen:8} {size}: shown {median(shown):.0f} ms (worst {max(shown):.0f}); "
        f"drag frame {_said(frames)}; pointer up to length {_said(waits)}"
    )
    person.context.close()


def _drags(
    person: Person, tab: Tab, end: tuple[float, float]
) -> tuple[list[float], list[float]]:
    """Drag an end there and back; return frame times and pointer up to length, ms."""
    frames, waits = [], []
    x, y = person.place(end)
    for turn in range(DRAGS):
        way = -24 if turn % 2 == 0 else 24
        tab.evaluate("window.watch.frames = []; window.watch.last = 0")
        person.down((x, y))
        for step in range(1, 25):
            person.move((x + way * step / 24, y + 6.0 * (step % 2)))
        x += way
        person.up((x, y))
        frames += tab.evaluate("window.watch.frames")
        tab.wait_for_timeout(400)
        waits.append(max(0.0, tab.evaluate("window.watch.label - window.watch.up")))
        tab.wait_for_timeout(900)
    return frames, waits


def _together(page: Page, job: str) -> None:
    elevation = _get(page, f"/work-on/{job}")["document"]["elevations"][0]

    def ask(seq: int) -> float:
        began = time.perf_counter()
        body = {"seq": seq, "elevation": elevation}
        _json(page, "POST", f"/work-on/{job}/measure", body)
        return 1000.0 * (time.perf_counter() - began)

    with ThreadPoolExecutor(PEOPLE) as people:
        waits = list(people.map(ask, range(PEOPLE * ASKED_EACH)))
    print(f"{PEOPLE} people asking at once: measure route {_said(waits)}")


def _get(page: Page, path: str) -> Any:
    with urllib.request.urlopen(page.address + path) as answer:  # noqa: S310
        return json.load(answer)


def _said(times_ms: list[float]) -> str:
    ninety_five = quantiles(times_ms, n=20)[-1]
    middle, worst = median(times_ms), max(times_ms)
    return f"p50 {middle:.0f} ms, p95 {ninety_five:.0f} ms, worst {worst:.0f}"


if __name__ == "__main__":
    main()
