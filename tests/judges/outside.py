"""Helpers that ask the outside judges about any HTML or PDF file and return what they found.

Each judge is another program's work: the Nu HTML checker (Java), axe-core (in headless Chromium), `pdfua` and
`outloud` (PDF accessibility). None of them is needed to write a report. `.ci/setup-judges` installs them.
"""

import json
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parents[2]
JUDGES = ROOT / ".judges"
NU = JUDGES / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
AXE = JUDGES / "node_modules" / "axe-core" / "axe.min.js"
ACCEPTED = Path(__file__).with_name("accepted.yaml")

CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass(frozen=True)
class Finding:
    """One thing that one judge said of one file."""

    judge: str
    rule: str
    message: str
    place: str = ""

    def __str__(self) -> str:
        return f"{self.judge} {self.rule}: {self.message} {self.place}".strip()


@dataclass(frozen=True)
class Accepted:
    """A finding that stays, with the reason. `contains` must occur in the finding's message."""

    judge: str
    rule: str
    contains: str
    reason: str

    def covers(self, finding: Finding) -> bool:
        """Whether this entry speaks of that finding."""
        return (self.judge, self.rule) == (finding.judge, finding.rule) and self.contains in finding.message


def accepted(path: Path = ACCEPTED) -> list[Accepted]:
    """Read the list of findings that stay; an entry without a reason is refused."""
    entries = [Accepted(**entry) for entry in yaml.safe_load(path.read_text(encoding="utf-8")) or []]
    for entry in entries:
        if not entry.reason.strip():
            raise ValueError(f"{path.name}: {entry.judge} {entry.rule} has no reason")
    return entries


def nothing_open(findings: list[Finding], entries: list[Accepted]) -> list[str]:
    """Return the findings that no entry accepts, as lines to print."""
    return [str(f) for f in findings if not any(entry.covers(f) for entry in entries)]


def stale(findings: list[Finding], entries: list[Accepted]) -> list[str]:
    """Return the entries that no finding needs any more, as lines to print."""
    return [f"{e.judge} {e.rule}: {e.contains}" for e in entries if not any(e.covers(f) for f in findings)]


def _json_of(command: list[str]) -> Any:
    """Run a judge and read its JSON. Its exit code only repeats the verdict, so it is not looked at."""
    done = subprocess.run(command, capture_output=True, text=True, timeout=300)
    if not done.stdout.strip():
        raise RuntimeError(f"{command[0]} printed nothing: {done.stderr[-2000:]}")
    return json.loads(done.stdout)


def _tool(name: str) -> str:
    """The path of a command that was installed beside this Python."""
    return str(Path(sys.executable).with_name(name))


def nu(html: Path) -> list[Finding]:
    """Ask the Nu HTML checker: its errors and its warnings."""
    said = _json_of(["java", "-jar", str(NU), "--format", "json", "--stdout", str(html)])
    return [
        Finding(
            "nu",
            m.get("subType", m["type"]),
            m["message"],
            f"line {m.get('lastLine')}: {m.get('extract', '').strip()[:80]}",
        )
        for m in said["messages"]
    ]


def pdfua(pdf: Path) -> list[Finding]:
    """Ask `pdfua`: every finding, and every rule that it did not evaluate."""
    said = _json_of([sys.executable, "-c", PDFUA, "check", "--format", "json", str(pdf)])
    found = [
        Finding("pdfua", f["rule_id"], f"{f['severity']}: {f['message']}", f["location"])
        for f in said["findings"]
    ]
    skipped = [Finding("pdfua", s["rule_id"], f"skipped: {s['reason']}") for s in said.get("skipped", [])]
    if len(skipped) != said["summary"]["rules_skipped"]:
        raise RuntimeError("pdfua counts skipped rules that it does not name")
    return found + skipped


def outloud(pdf: Path) -> list[Finding]:
    """Ask `outloud`: every error and warning, and every rule that it skipped or crashed in."""
    said = _json_of([_tool("outloud"), "--json", "-", str(pdf)])["results"][0]
    if said["error"]:
        raise RuntimeError(f"outloud could not read {pdf}: {said['error']}")
    found = [
        Finding("outloud", f["rule"], f"{f['severity']}: {f['message']}", f"page {f.get('page')}")
        for f in said["findings"]
        if f["severity"] != "info"
    ]
    idle = [
        Finding("outloud", r["rule"], f"{r['status']}: {r['reason'] or 'no reason given'}")
        for r in said["rules"]
        if r["status"] not in {"ran", "not-applicable"}
    ]
    return found + idle


@contextmanager
def chromium() -> Iterator[Any]:
    """Start Debian's headless Chromium; yields Playwright's browser object."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=CHROMIUM_FLAGS)
        try:
            yield browser
        finally:
            browser.close()


@dataclass(frozen=True)
class View:
    """One way to look at the page."""

    name: str
    width: int
    height: int
    scheme: str = "light"
    media: str = "screen"


VIEWS = [
    View("desktop-light", 1280, 900, "light"),
    View("desktop-dark", 1280, 900, "dark"),
    View("phone-light", 390, 844, "light"),
    View("phone-dark", 390, 844, "dark"),
    View("narrow-light", 320, 800, "light"),  # WCAG 2.2, 1.4.10: no sideways scrolling at 320 CSS pixels
    View("print", 794, 1123, "light", "print"),  # A4 at 96 px an inch
]

# pdfua 0.1.3 asks every pikepdf object for `is_integer`. An array has no such attribute and raises, so the judge
# gives up on the headings of any file in which one heading runs over two lines. No object of pikepdf 10 is a
# plain number (those become Python's own), so the answer is always no.
PDFUA = "import pikepdf, sys; pikepdf.Object.is_integer = False; from pdfua.cli import main; sys.exit(main())"

# The longest picture that Chromium draws in one piece, in pixels.
LONGEST_PICTURE = 16_000


def page_findings(browser: Any, html: Path, view: View, picture: Path | None = None) -> list[Finding]:
    """Open the page in one view and return what axe-core, the network log and the console say.

    The page keeps its own content-security policy: axe-core is handed in through the debugging protocol,
    which the policy of the page does not govern.

    Parameters
    ----------
    picture : where to write a PNG of the whole page, if anywhere
    """
    context = browser.new_context(viewport={"width": view.width, "height": view.height})
    page = context.new_page()
    page.emulate_media(media=view.media, color_scheme=view.scheme)
    address = html.resolve().as_uri()
    found: list[Finding] = []

    def on_request(request: Any) -> None:
        if request.url != address and not request.url.startswith("data:"):
            found.append(Finding("network", "request", request.url, view.name))

    def on_console(message: Any) -> None:
        if message.type in {"error", "warning"}:
            found.append(Finding("console", message.type, message.text, view.name))

    page.on("request", on_request)
    page.on("console", on_console)
    page.on("pageerror", lambda error: found.append(Finding("console", "pageerror", str(error), view.name)))
    page.goto(address, wait_until="load")
    page.evaluate("document.fonts.ready.then(() => true)")

    width = page.evaluate("document.documentElement.scrollWidth")
    if width > view.width:
        found.append(Finding("browser", "sideways", "the page scrolls sideways", f"{view.name}: {width} px"))
    if picture is not None:
        picture.parent.mkdir(parents=True, exist_ok=True)
        height = min(page.evaluate("document.documentElement.scrollHeight"), LONGEST_PICTURE)
        clip = {"x": 0, "y": 0, "width": view.width, "height": height}
        page.screenshot(path=picture, full_page=True, clip=clip)

    page.evaluate(AXE.read_text(encoding="utf-8") + "\n;undefined")
    said = page.evaluate("axe.run(document, {resultTypes: ['violations', 'incomplete']})")
    context.close()
    for kind in ("violations", "incomplete"):
        for rule in said[kind]:
            for node in rule["nodes"]:
                checks = "; ".join(c["message"] for c in node["any"] + node["all"] + node["none"])
                message = f"{'' if kind == 'violations' else 'undecided: '}{rule['help']}: {checks}"
                place = f"{view.name} {node['target']} {node['html'][:200]}"
                found.append(Finding("axe", rule["id"], message, place))
    return found
