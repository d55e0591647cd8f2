"""A whole visit on the capture page, in real headless Chromium as a phone, without a network.

The page is driven through its controls. `CAPTURE_KILLS` kills (25 unless told otherwise) come at seeded entries.
"""

import gzip
import json
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import outside
import pytest
from capture_driver import Driver
from capture_photos import make_photos
from phone import WIDTH, Phone, hosted, phone
from same_findings import differences, normalised
from visit_data import PHOTOS, part_of, write_job, written

from lugbook.cli import main

pytestmark = pytest.mark.judge

DEMO = outside.ROOT / "photos_demo" / "wandering-plover"
SEED = 20260602
TYPED = "x" * 12  # as many keys are on their way when the browser is killed
KILLS = int(os.environ.get("CAPTURE_KILLS", "25"))
MANY_PHOTOS = int(os.environ.get("CAPTURE_PHOTOS", "60"))
# Everything that is on the disk, by its path. Pictures are told by their length and sum.
DUMP = """async () => {
  const base = await new Promise((ok, no) => { const r = indexedDB.open('lugbook-capture'); r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); });
  const all = (name) => new Promise((ok, no) => { const r = base.transaction(name).objectStore(name).getAll(); r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); });
  const found = {};
  const walk = (value, path) => {
    if (value !== null && typeof value === 'object') for (const [key, inner] of Object.entries(value)) walk(inner, `${path}.${key}`);
    else if (value !== null && value !== undefined && value !== '') found[path] = String(value);
  };
  for (const row of await all('parts')) walk(row.value, row.part);
  for (const row of await all('photos')) found[`photos/${row.file}`] = `${row.bytes} ${row.sha256} ${row.blob.size}`;
  base.close();
  return found;
}"""


@dataclass
class Figures:
    """What was measured, for docs/capture.md."""

    told: dict[str, Any] = field(default_factory=dict)

    def write(self) -> None:
        """Leave them where they can be read."""
        path = outside.JUDGES / "capture-figures.json"
        known = json.loads(path.read_text()) if path.exists() else {}
        path.write_text(json.dumps(known | self.told, indent=1))


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `lugbook capture` makes of the demo's checklist."""
    folder = tmp_path_factory.mktemp("site") / "page"
    command = [sys.executable, "-m", "lugbook", "capture", "pre-purchase", "-o", str(folder)]
    subprocess.run(command, check=True, timeout=100)
    return folder


@pytest.fixture
def figures() -> Iterator[Figures]:
    made = Figures()
    yield made
    made.write()


def opened(device: Phone, url: str, *, offline: bool, view: str = "") -> Any:
    """Start the browser with the page."""
    page = device.start(offline=offline)
    page.goto(f"{url}index.html{view}")
    ready(page)
    return page


def ready(page: Any) -> None:
    """The page has started, its probe of the storage included."""
    deadline = time.monotonic() + 30
    while True:
        with suppress(Exception):  # the probe loads the page anew meanwhile
            if page.evaluate("() => document.documentElement.dataset.ready") == "yes":
                return
        if time.monotonic() > deadline:
            raise TimeoutError("the page did not start")
        time.sleep(0.02)


def cached(page: Any) -> None:
    """The service worker holds the page."""
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    deadline = time.monotonic() + 20
    while not page.evaluate("async () => Boolean(await caches.match('./index.html'))"):
        assert time.monotonic() < deadline
        time.sleep(0.02)


def exported(driver: Driver, folder: Path) -> tuple[Path, float]:
    """Export through the page's button; the file and the seconds until it was written."""
    driver.go("export")
    began = time.monotonic()
    with driver.page.expect_download(timeout=300_000) as waiting:
        driver.tap('[data-act="export"]')
    path = folder / str(waiting.value.suggested_filename)
    waiting.value.save_as(path)
    return path, time.monotonic() - began


class Killer:
    """Kills the browser at seeded entries while one more is on its way, and sees that everything before is there.

    `points` count entries of any kind, `photos` the photos. What may differ after the restart is that one entry.
    """

    def __init__(self, device: Phone, url: str, driver: Driver, points: set[int], photos: set[int]) -> None:
        self.device, self.url, self.driver, self.points, self.photos = device, url, driver, points, photos
        self.chance = random.Random(SEED)
        self.count = self.photo_count = self.killed = 0
        self.in_flight = {"nothing of it": 0, "part of it": 0, "all of it": 0}
        self.resumed: list[float] = []

    def __call__(self, path: str, text: str) -> bool:
        """Tells whether the entry was on the disk already, so that it must not be made again."""
        photo = path.rpartition(".")[0].endswith("photos")
        self.photo_count += photo
        self.count += not photo
        if not (self.photo_count in self.photos if photo else self.count in self.points):
            return False
        self.driver.settled()
        before = self.driver.page.evaluate(DUMP)
        touched = self._photo(path, text) if photo else self._tap(path, text) or self._keys(path, text)
        time.sleep(self.chance.random() * (0.5 if photo else 0.03))
        self.device.kill()
        self.killed += 1
        began = time.monotonic()
        view = "#" + "/".join(step.replace("/", "%2F") for step in self.driver.view)
        page = self.driver.page = opened(self.device, self.url, offline=True, view=view)
        self.driver.wait(
            "(v) => document.getElementById('main').dataset.view === v", "/".join(self.driver.view)
        )
        self.resumed.append(time.monotonic() - began)
        after = page.evaluate(DUMP)
        changed = {key for key in {*before, *after} if before.get(key) != after.get(key)}
        assert all(key.startswith(touched) for key in changed), (path, touched, changed)
        kept = after.get(path, "")
        if len(touched) == 1 and changed:
            assert kept, path
            assert text.startswith(kept), (path, kept)
        whole = f"{path}.file" in after if photo else bool(changed) and kept in (text[: len(TYPED)], text)
        self.in_flight["nothing of it" if not changed else "all of it" if whole else "part of it"] += 1
        return photo and whole

    def _photo(self, path: str, text: str) -> tuple[str, ...]:
        self.driver.choose(path, text)
        return (path, "photos/", "meta.last_photo")

    def _tap(self, path: str, text: str) -> tuple[str, ...]:
        if not path.endswith(".result"):
            return ()
        item = path.removeprefix("results/").removesuffix(".result")
        self.driver.tap(f'[data-item="{item}"][data-result="{text}"]')
        return (f"results/{item}", "meta.last_defect")

    def _keys(self, path: str, text: str) -> tuple[str, ...]:
        """Real keys into a text field, without waiting for anything to be stored."""
        box = self.driver.page.locator(f'input[data-field="{path}"], textarea[data-field="{path}"]')
        plain = text[:12].replace(" ", "").isalpha() and text[:12].isascii()
        if not plain or path.endswith(".id") or not box.count():
            return ("nothing was on its way",)
        box.first.focus()
        self.driver.page.keyboard.type(text[: len(TYPED)])
        return (path,)


def test_a_whole_visit_killed_at_seeded_points(site: Path, tmp_path: Path, figures: Figures) -> None:
    photos = make_photos(tmp_path / "camera", PHOTOS, SEED)
    tree = part_of(written(DEMO), [path.name for path in photos])
    chance = random.Random(SEED)
    began = time.monotonic()
    with phone() as device:
        with hosted(site) as url:
            page = opened(device, url, offline=False)
            cached(page)
        driver = Driver(page, tmp_path / "camera")
        chosen = set(chance.sample(range(1, PHOTOS + 1), KILLS // 6))
        points = set(chance.sample(range(20, 700), KILLS - len(chosen)))
        killer = Killer(device, url, driver, points, chosen)
        driver.before = killer
        device.context.set_offline(True)
        driver.visit(tree)
        entering = time.monotonic() - began
        archive, seconds = exported(driver, tmp_path)
        peak = device.peak_memory()
    assert driver.lacking == []
    assert killer.killed == KILLS, (killer.killed, killer.count)
    job = tmp_path / "visit"
    assert main(["unpack", str(archive), str(job), "-q"]) == 0
    assert main(["check", str(job)]) == 0
    by_hand = write_job(tree, tmp_path / "by-hand", photos)
    assert differences(normalised(by_hand), normalised(job)) == []
    assert main(["report", str(job), "-o", str(tmp_path / "out"), "-q"]) == 0
    figures.told["visit"] = {
        "entries": driver.entered,
        "kills": killer.killed,
        "in flight": killer.in_flight,
        "seconds": round(entering, 1),
        "resumed s (median)": round(sorted(killer.resumed)[len(killer.resumed) // 2], 2),
        "export s": round(seconds, 1),
        "export MB": round(archive.stat().st_size / 1e6, 1),
        "renderer MB": round(peak / 1e6),
    }


def test_the_demo_entered_through_the_page_equals_the_hand_written_findings(
    site: Path, tmp_path: Path, figures: Figures
) -> None:
    began = time.monotonic()
    with phone() as device:
        with hosted(site) as url:
            page = opened(device, url, offline=False)
            cached(page)
        device.context.set_offline(True)
        driver = Driver(page, DEMO / "photos")
        driver.visit(written(DEMO))
        entering = time.monotonic() - began
        archive, _ = exported(driver, tmp_path)
    assert driver.lacking == []
    assert main(["unpack", str(archive), str(tmp_path / "job"), "-q"]) == 0
    assert differences(normalised(DEMO), normalised(tmp_path / "job")) == []
    figures.told["demo"] = {"entries": driver.entered, "seconds": round(entering, 1)}


ITEM = "results/fuse-near-battery"
SEEN = [("defect", ITEM, "defects", "0"), ("mark", ITEM, "defects", "0", "photos", "0")]
VIEWS = [
    ("jobs",),
    ("boat",),
    ("walk", "0"),
    ("walk", "5"),
    ("readings",),
    ("reading", "0"),
    ("installation",),
    ("extra",),
    ("export",),
    ("more",),
    ("search",),
    ("settings",),
    ("notice",),
]


def loaded(device: Phone, url: str, archive: Path) -> Driver:
    """A page into which a packed job was loaded."""
    page = opened(device, url, offline=False)
    cached(page)
    page.locator('input[data-field="load"]').set_input_files(archive)
    driver = Driver(page, DEMO / "photos")
    driver.wait("() => document.getElementById('main').dataset.view.startsWith('walk')", seconds=60)
    driver.came_to()
    driver.settled()
    return driver


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as a pack, from a copy that may be written into."""
    folder = tmp_path_factory.mktemp("packed")
    shutil.copytree(DEMO, folder / "plover")
    assert main(["pack", str(folder / "plover"), "-o", str(folder / "plover.zip"), "-q"]) == 0
    return folder


def test_a_packed_job_loads_goes_on_and_comes_back(site: Path, packed: Path, tmp_path: Path) -> None:
    job = shutil.copytree(packed / "plover", tmp_path / "plover")
    with phone() as device, hosted(site) as url:
        driver = loaded(device, url, packed / "plover.zip")
        first, _ = exported(driver, tmp_path)
        driver.go("boat")
        driver.put(("report", "craft", "alterations"), "None that she knew of.")
        driver.settled()
        second, _ = exported(driver, tmp_path)
    before = (job / "findings.yaml").read_text(encoding="utf-8")
    assert main(["unpack", str(first), str(job), "-q"]) == 0
    assert (job / "findings.yaml").read_text(encoding="utf-8") == before  # comments, order, layout: all of it
    assert main(["unpack", str(second), str(job), "-q"]) == 0
    (gone,) = differences(normalised(DEMO), normalised(job))
    assert gone.startswith("report.craft.alterations: ")
    assert main(["verify", str(job)]) == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_at_360_pixels(scheme: str, site: Path, packed: Path) -> None:
    axe = outside.AXE.read_text(encoding="utf-8")
    found: list[str] = []
    with phone(scheme=scheme) as device, hosted(site) as url:
        driver = loaded(device, url, packed / "plover.zip")
        page = driver.page
        page.evaluate(axe + "\n;undefined")
        for view in [*VIEWS, *SEEN]:
            driver.go(*view)
            if view[0] == "notice":
                driver.tap('[data-act="begin-notice"]')
            page.evaluate(
                "() => { for (const one of document.querySelectorAll('main details')) one.open = true; }"
            )
            time.sleep(0.1)
            picture = outside.JUDGES / "pictures" / "capture" / f"{scheme}-{view[0]}.png"
            picture.parent.mkdir(parents=True, exist_ok=True)
            page.screenshot(path=picture)
            wide = page.evaluate("() => document.documentElement.scrollWidth")
            found += [f"{view}: {wide} px wide"] if wide > WIDTH else []
            said = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
            found += [
                f"{view} {rule['id']}: {rule['help']}: {node['html'][:150]}"
                for rule in said["violations"]
                for node in rule["nodes"][:3]
            ]
    assert found == [], "\n".join(found)


TAPS = """async (wanted) => {
  const root = document.documentElement;
  const stored = () => new Promise((ok) => {
    const look = () => root.dataset.pending === '0' && (watch.disconnect(), ok());
    const watch = new MutationObserver(look);
    watch.observe(root, { attributes: true });
    look();
  });
  const times = [];
  for (const [item, selector] of wanted) {
    if (!document.querySelector(selector)) document.querySelector(`[data-act="toggle"][data-item="${item}"]`).click(); // folded
    await stored();
    const began = performance.now();
    document.querySelector(selector).click();
    await stored();
    times.push(performance.now() - began);
    await new Promise((ok) => setTimeout(ok, 20));
  }
  return times.sort((a, b) => a - b);
}"""


def test_time_from_tap_to_stored_and_an_export_of_many_photos(
    site: Path, tmp_path: Path, figures: Figures
) -> None:
    photos = make_photos(tmp_path / "camera", MANY_PHOTOS, SEED + 1)
    with phone() as device:
        with hosted(site) as url:
            page = opened(device, url, offline=False)
            cached(page)
        device.context.set_offline(True)
        driver = Driver(page, tmp_path / "camera")
        driver.visit({"report": {"number": "MANY-1", "electrician": {"name": "Maren Quist"}}})
        driver.go("walk", "1")
        items = page.evaluate(
            "() => [...document.querySelectorAll('[data-item-card]')].map((one) => one.dataset.itemCard)"
        )
        words = [("no departure seen", "whole"), ("no departure seen", "part seen"), ("not inspected", "")]
        taps = [
            (item, f'[data-item="{item}"][data-result="{word}"][data-extent="{extent}"]')
            for word, extent in words * 3
            for item in items
        ]
        times = page.evaluate(TAPS, [list(tap) for tap in taps])
        first = items[0]
        driver.go("walk", "1")
        driver.tap(f'[data-item="{first}"][data-result="no departure seen"][data-extent="whole"]')
        began = time.monotonic()
        box = page.locator(f'input[data-field="results/{first}.photos"][data-photo="album"]')
        driver.kind_at((f"results/{first}", "photos", "0", "caption"))
        for start in range(0, len(photos), 50):  # what the browser tool takes at once
            box.first.set_input_files(photos[start : start + 50])
            done = min(len(photos), start + 50)
            driver.wait(
                "(n) => document.querySelectorAll('[data-photo-file]').length >= n", done, seconds=300
            )
        taking = time.monotonic() - began
        device.forget_peaks()
        archive, seconds = exported(driver, tmp_path)
        renderer, browser = device.peak_memory(), device.peak_memory("")
    assert times[len(times) // 2] < 250, times
    assert main(["unpack", str(archive), str(tmp_path / "job"), "-q"]) == 0
    kept = sorted((tmp_path / "job" / "photos").iterdir())
    assert len(kept) == len(photos)
    assert sorted(path.read_bytes()[:300] for path in kept) == sorted(
        path.read_bytes()[:300] for path in photos
    )
    page_bytes = (site / "index.html").stat().st_size
    figures.told["many"] = {
        "tap to stored ms": {
            "median": round(times[len(times) // 2], 1),
            "worst of": len(times),
            "worst": round(times[-1], 1),
        },
        "photos": len(photos),
        "taking s": round(taking, 1),
        "export s": round(seconds, 1),
        "export MB": round(archive.stat().st_size / 1e6, 1),
        "renderer MB": round(renderer / 1e6),
        "largest process MB": round(browser / 1e6),
        "page kB": round(page_bytes / 1000),
        "page kB packed": round(len(gzip.compress((site / "index.html").read_bytes())) / 1000),
    }
