"""Times of whole processes, side by side in one run, as medians of rounds; writes docs/performance.md and the growth plot.

`python tests/bench/bench.py [--rounds N] [--photos N] [--growth 10 100 1000] [--out FOLDER]`
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "inspect"), str(ROOT / "tests")]

CHROMIUM_PROGRAM = Path("/usr/bin/chromium")
HERE = Path(__file__).parent
CHROMIUM = """
import sys
from playwright.sync_api import sync_playwright
with sync_playwright() as play:
    browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
    page = browser.new_page()
    page.goto("file://" + sys.argv[1])
    page.pdf(path=sys.argv[2], prefer_css_page_size=True)
    browser.close()
"""


@dataclass(frozen=True)
class Run:
    """One process: wall seconds, processor seconds with children, peak memory of the largest process in MB."""

    wall: float
    cpu: float
    memory: float


def measure(*command: str | Path, **environment: str) -> Run:
    begun = time.perf_counter()
    names = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(filter(None, (str(ROOT / "inspect"), os.environ.get("PYTHONPATH")))),
        "PYTHONDONTWRITEBYTECODE": "",  # Python keeps what it compiled, as where the program is installed
        **environment,
    }
    process = subprocess.Popen(
        [str(word) for word in command], env=names, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    assert process.stderr is not None
    told = process.stderr.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{command} ended with {process.returncode}: {told.decode()[-2000:]}")
    return Run(time.perf_counter() - begun, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def lugbook(*words: str | Path, cache: Path) -> Run:
    return measure(sys.executable, "-m", "lugbook", "-q", *words, LUGBOOK_CACHE=str(cache))


# What follows runs in processes of its own: the peak memory of a process counts from its parent's on.


def lay_page(job: Path, folder: Path) -> None:
    """The print page of a job for the engines alone: page.html with names.json, and chromium.html."""
    from lugbook.pipeline.checking import check_job
    from lugbook.pipeline.composing import composed
    from lugbook.pipeline.preparing import wanted_pictures
    from lugbook.progress import Progress
    from lugbook.render.page import fonts, print_page
    from lugbook.words.catalogue import Words

    folder.mkdir(exist_ok=True)
    checked = check_job(job, Progress(quiet=True))
    loaded, view = composed(checked)
    html = print_page(view, Words(loaded.language), "a4")
    names: dict[str, dict[str, object]] = {}
    for key, path, _, edge in wanted_pictures(loaded, view):
        names[key] = {"file": str(path), "type": "image/jpeg", "edge": edge}
    for name, font in fonts().items():
        path = folder / name
        path.write_bytes(font.data)
        names[name] = {"file": str(path), "type": font.media_type, "edge": 0}
    (folder / "page.html").write_text(html, encoding="utf-8")
    (folder / "names.json").write_text(json.dumps(names), encoding="utf-8")
    local = re.sub(r"job:///([\w.%-]+)", lambda found: f"file://{names[found[1]]['file']}", html)
    (folder / "chromium.html").write_text(local, encoding="utf-8")


def printed_dpi(pdf: Path) -> list[int]:
    """The resolution of each picture in a PDF, by Poppler."""
    listed = subprocess.run(["pdfimages", "-list", pdf], capture_output=True, text=True, check=True).stdout
    return [int(line.split()[12]) for line in listed.splitlines()[2:] if line.split()[2] == "image"]


def edit(job: Path, turn: int) -> None:
    path = job / "findings.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"fuse\d*\.\"", f'fuse{turn + 1}."', text, count=1), encoding="utf-8")


def prepare(place: Path, photos: int) -> None:
    """The job, a list of 500 defects, and the page for the engines alone."""
    from big_job import make, photo

    job, listed = place / "bench-job", place / "long-list"
    make(job, defects=max(1, photos // 3), pictures=0, size=(8, 8), tongues=["en"], long=False)
    text = (job / "findings.yaml").read_text(encoding="utf-8")
    for n in range(photos):
        photo(job / "photos" / f"picture-{n}.jpg", (4000, 3000), n, quality=88)
    share = iter(range(photos))

    def pictures(_: re.Match[str]) -> str:
        lines = [
            f"\n      - {{file: picture-{next(share)}.jpg, caption: A cable, alt: A test picture}}"
            for _ in range(3)
        ]
        return "photos:" + "".join(lines)

    (job / "findings.yaml").write_text(re.sub(r"photos: \[\]", pictures, text), encoding="utf-8")
    make(listed, defects=500, pictures=0, size=(8, 8), tongues=["en"], long=False)
    lay_page(job, place / "page")


def grow(place: Path, count: int) -> None:
    """A job of many defects with a picture each."""
    from big_job import make

    make(place, defects=count, pictures=count, size=(1600, 1200), tongues=["en"], long=False)


def elsewhere(what: str, place: Path, count: int) -> None:
    subprocess.run([sys.executable, __file__, "--do", what, place, str(count)], check=True)


def rounds(
    place: Path, count: int, photos: int, chromium: bool
) -> tuple[dict[str, list[Run]], dict[str, float], list[dict[str, float]]]:
    """Every way once a round, one after the other, so that a slow moment hits all of them alike."""
    job, listed = place / "bench-job", place / "long-list"
    elsewhere("prepare", place, photos)
    runs: dict[str, list[Run]] = {}

    def keep(name: str, run: Run) -> None:
        print(f"{name:12} {run.wall:7.2f} s wall {run.cpu:7.2f} s processor {run.memory:6.0f} MB", flush=True)
        runs.setdefault(name, []).append(run)

    dpi, parts = 240, []
    for turn in range(count):
        cache, out = place / f"cache-{turn}", place / "out"
        report = ("report", job, "-o", out)
        keep("a", lugbook(*report, cache=cache))
        edit(job, turn)
        keep("b", lugbook(*report, cache=cache))
        edit(job, turn + 1000)
        parts.append(phases(job, out, cache))
        keep("c", lugbook(*report, cache=cache))
        dpi = round(statistics.median(printed_dpi(out / "bench-job" / "report.pdf")))
        engine = HERE / "engine.py"
        keep("d", measure(sys.executable, engine, "own", place / "page", str(dpi)))
        if chromium:
            keep(
                "e",
                measure(
                    sys.executable, "-c", CHROMIUM, place / "page" / "chromium.html", place / "page" / "e.pdf"
                ),
            )
        keep("f", measure(sys.executable, engine, "floor", place / "page", str(dpi)))
        keep("check", lugbook("check", listed, cache=cache))
        keep("help", lugbook("--help", cache=cache))
        shutil.rmtree(cache)
    pdf = place / "out" / "bench-job" / "report.pdf"
    sizes = sum(path.stat().st_size for path in (job / "photos").iterdir())
    facts = {"pdf": pdf.stat().st_size / 1e6, "dpi": min(printed_dpi(pdf)), "photos": sizes / 1e6}
    return runs, facts, parts


def phases(job: Path, out: Path, cache: Path) -> dict[str, float]:
    """Where the processor time after an edit of the text goes."""
    names = {**os.environ, "LUGBOOK_CACHE": str(cache)}
    told = subprocess.run(
        [sys.executable, HERE / "phases.py", job, out], env=names, capture_output=True, text=True, check=True
    )
    found: dict[str, float] = json.loads(told.stdout.splitlines()[-1])
    return found


def growth(place: Path, counts: list[int]) -> dict[int, Run]:
    """Reports of many defects with a picture each, cold."""
    found = {}
    for count in counts:
        job = place / f"growth-{count}"
        elsewhere("grow", job, count)
        found[count] = lugbook("report", job, "-o", place / "out", cache=place / "growth-cache")
        print(f"{count} defects: {found[count]}", flush=True)
    return found


def plot(found: dict[int, Run]) -> str:
    """Processor time per defect over the number of defects, as SVG."""
    each = {count: 1000 * run.cpu / count for count, run in found.items()}
    top = max(each.values()) * 1.15
    width = 380 // max(1, len(each) - 1)
    points = [(80 + width * n, 230 - 200 * value / top) for n, value in enumerate(each.values())]
    parts = ['<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 520 280" font-family="sans-serif" font-size="12">',
             "<title>Processor time for each defect, by the number of defects</title>",
             '<rect width="520" height="280" fill="#fff"/><path d="M60 20V230H500" fill="none" stroke="#17232e"/>',
             '<text x="60" y="14">milliseconds of processor time for each defect</text>',
             '<text x="500" y="268" text-anchor="end">defects in the report, a picture each</text>',
             f'<polyline fill="none" stroke="#123c5c" stroke-width="2" points="{" ".join(f"{x:.0f},{y:.0f}" for x, y in points)}"/>']  # fmt: skip
    for (x, y), (count, value) in zip(points, each.items(), strict=True):
        parts.append(f'<circle cx="{x:.0f}" cy="{y:.0f}" r="4" fill="#123c5c"/>')
        parts.append(f'<text x="{x:.0f}" y="{y - 10:.0f}" text-anchor="middle">{value:.0f}</text>')
        parts.append(f'<text x="{x:.0f}" y="248" text-anchor="middle">{count:,}</text>')
    return "\n".join([*parts, "</svg>"]) + "\n"


def machine() -> str:
    info = Path("/proc/cpuinfo").read_text() if Path("/proc/cpuinfo").exists() else ""
    model = re.search(r"model name\s*: (.*)", info)
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1e9
    cores = len(os.sched_getaffinity(0))
    versions = ", ".join(f"{name} {version(name)}" for name in ("weasyprint", "pydyf", "pillow"))
    family = model[1].split(" @")[0] if model else platform.machine()
    return (
        f"{cores} cores ({family}), {memory:.0f} GB of memory, Python {platform.python_version()}, {versions}"
    )


NAMES = {
    "a": "lugbook, nothing in the cache", "b": "lugbook after an edit of the text", "c": "lugbook, nothing changed",
    "d": "WeasyPrint alone, original photos, its own optimisation", "e": "Chromium prints the page",
    "f": "the floor: two workers scale, then WeasyPrint", "check": "`check` of 500 defects", "help": "`--help`",
}  # fmt: skip


def page(
    runs: dict[str, list[Run]],
    facts: dict[str, float],
    parts: list[dict[str, float]],
    grown: dict[int, Run],
    photos: int,
) -> str:
    def middle(name: str, what: str) -> float:
        return statistics.median(getattr(run, what) for run in runs[name])

    def ratio(one: str, other: str, what: str = "wall") -> float:
        pairs = zip(runs[one], runs[other], strict=True)
        return statistics.median(getattr(a, what) / getattr(b, what) for a, b in pairs)

    lines = ["# Performance", "", f"Written by `make bench`; not meant to be edited. {len(runs['a'])} rounds; medians. A job of "
             f"{photos} photos of 12 megapixels, {facts['photos']:.0f} MB together.", "", f"The machine: {machine()}.", "",
             "| | what | wall s | processor s | peak MB of a process |", "|---|---|---|---|---|"]  # fmt: skip
    for name in runs:
        what = NAMES[name]
        lines.append(
            f"| {name} | {what} | {middle(name, 'wall'):.2f} | {middle(name, 'cpu'):.2f} | {middle(name, 'memory'):.0f} |"
        )
    targets = [
        ("a / d", ratio("a", "d"), 0.35, "{:.2f}"), ("a / f", ratio("a", "f"), 1.3, "{:.2f}"),
        ("b / d", ratio("b", "d"), 0.12, "{:.3f}"), ("c / d", ratio("c", "d"), 0.04, "{:.3f}"),
        ("memory a / d", ratio("a", "d", "memory"), 0.6, "{:.2f}"), ("PDF, MB", facts["pdf"], 6, "{:.1f}"),
        ("check / d", ratio("check", "d"), 0.025, "{:.3f}"), ("help / d", ratio("help", "d"), 0.01, "{:.3f}"),
    ]  # fmt: skip
    if {100, 1000} <= set(grown):
        share = (grown[1000].cpu / 1000) / (grown[100].cpu / 100)
        targets.append(("time for each defect, 1,000 against 100", share, 1.15, "{:.2f}"))
    lines += [
        "",
        "Ratios of wall times are medians over pairs of the same round.",
        "",
        "| target | reached | at most | |",
        "|---|---|---|---|",
    ]
    for name, value, limit, form in targets:
        lines.append(
            f"| {name} | {form.format(value)} | {limit} | {'met' if value <= limit else 'not met'} |"
        )
    lines.append(
        f"| least resolution of a photo in print, dpi | {facts['dpi']:.0f} | at least 150 | {'met' if facts['dpi'] >= 150 else 'not met'} |"
    )
    if "e" not in runs:
        lines += ["", "Chromium (e) was not there and was not measured."]
    lines += [
        "",
        "## Where the time after an edit of the text goes (b)",
        "",
        "| | processor s |",
        "|---|---|",
    ]
    lines += [f"| {what} | {statistics.median(one[what] for one in parts):.2f} |" for what in parts[0]]
    lines += ["", (HERE / "tried.md").read_text(encoding="utf-8").strip()]
    lines += [
        "",
        "## Growth",
        "",
        "![Processor time for each defect](growth.svg)",
        "",
        "| defects | wall s | processor s | peak MB |",
        "|---|---|---|---|",
    ]
    lines += [
        f"| {count:,} | {run.wall:.1f} | {run.cpu:.1f} | {run.memory:.0f} |" for count, run in grown.items()
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--photos", type=int, default=60)
    parser.add_argument("--growth", type=int, nargs="*", default=[10, 100, 1000])
    parser.add_argument("--out", type=Path, default=ROOT / "docs")
    parser.add_argument("--do", nargs=3, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.do:
        what, place, count = given.do
        (prepare if what == "prepare" else grow)(Path(place), int(count))
        return
    chromium = CHROMIUM_PROGRAM.exists()
    with tempfile.TemporaryDirectory() as name:
        os.environ["LUGBOOK_CACHE"] = "off"
        runs, facts, parts = rounds(Path(name), given.rounds, given.photos, chromium)
        grown = growth(Path(name), given.growth)
    text = page(runs, facts, parts, grown, given.photos)
    (given.out / "performance.md").write_text(text, encoding="utf-8")
    (given.out / "growth.svg").write_text(plot(grown), encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
