"""What fuzzed input is given to. Each takes one input and raises if anything but Problems comes out of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import bundles
import seeds
from audit import watched
from exports import write_export

from lugbook.assess.judge import assess
from lugbook.compose.report import compose
from lugbook.errors import InputRefusedError, LugbookError
from lugbook.issuing.unpack import unpack
from lugbook.load.faults import build
from lugbook.load.job import load_job
from lugbook.load.tree import TooManyError, parse
from lugbook.model.basis import BasisFile
from lugbook.model.business import BusinessFile
from lugbook.model.checklist import ChecklistFile
from lugbook.model.findings import Findings
from lugbook.model.installation import InstallationFile
from lugbook.model.job import PictureFacts
from lugbook.model.problem import Problem
from lugbook.photos import PictureFault, capture_time, examine, prepare
from lugbook.progress import Progress
from lugbook.render.page import screen_page
from lugbook.render.pdf import Resource
from lugbook.words.catalogue import load_words

MODELS = (Findings, InstallationFile, ChecklistFile, BasisFile, BusinessFile)
SIDE = 40
FORBIDDEN = ("<script>alert",)


class _Dummies(dict[str, Resource]):
    """Every picture is the same one."""

    def __missing__(self, key: str) -> Resource:
        return Resource(b"a picture", "image/jpeg")


DUMMIES = _Dummies()


class Fuzz:
    """A folder of its own for the inputs, and the targets."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.job = folder / "job"
        (self.job / "photos").mkdir(parents=True)
        for rates in seeds.DEMOS[0].glob("rates.yaml"):
            shutil.copy(rates, self.job)
        for demo in seeds.DEMOS:  # `load` only looks whether they are there
            for path in demo.glob("photos/**/*.*"):
                place = self.job / path.relative_to(demo)
                place.parent.mkdir(exist_ok=True)
                place.touch()

    def text(self, text: str) -> str:
        """YAML text, read as findings and as one of the other files. Returns what came of it."""
        refused = 0
        models = (MODELS[0], MODELS[1 + len(text) % (len(MODELS) - 1)])
        for model in models:
            document = parse(text, "fuzz.yaml")
            try:
                built = build(model, document)
            except TooManyError:
                built = None
            refused += built is None
            if built is None:
                _insist(tuple(document.problems), text)
        return "refused" if refused == len(models) else "read"

    def findings(self, text: str) -> str:
        """A whole job: loaded, and if there is nothing against it judged, composed and set as HTML."""
        (self.job / "findings.yaml").write_bytes(text.encode("utf-8", "surrogatepass"))
        job, problems = load_job(self.job)
        if job is None:
            _insist(problems, text)
            return "refused"
        facts = {name: PictureFacts(SIDE, SIDE, None) for name in job.pictures}
        words = load_words()
        view = compose(assess(job), words, facts)
        page = screen_page(view, words, DUMMIES)
        if any(mark in page for mark in FORBIDDEN):
            raise AssertionError("text became a part of the page")
        if "http://127" in page or "javascript:" in page or "file:///" in page:
            _look(page)
        return "reported"

    def picture(self, data: bytes) -> str:
        """A picture: looked into and prepared."""
        path = self.job / "photos" / "fuzz.jpg"
        path.write_bytes(data)
        capture_time(path)
        try:
            examine(path)
            made = prepare(path, long_edge=SIDE, aspect=4 / 3)
        except PictureFault as fault:
            if not (fault.code and fault.message):
                raise AssertionError("a fault that says nothing") from fault
            return "refused"
        if made.media_type not in ("image/jpeg", "image/png"):
            raise AssertionError(made.media_type)
        return "prepared"

    def bundle(self, data: bytes) -> str:
        """An export of the capture page: into a new job, and into one that holds an export of the visit."""
        zone, first = self.folder / "zone", self.folder / "first"
        if not first.exists():
            archive = write_export(self.folder / "first.zip", bundles.visits()[0])
            unpack(archive, first, Progress(quiet=True), recorded_by="Fuzz", choose=None)
        ended = []
        for there in (False, True):
            shutil.rmtree(zone, ignore_errors=True)
            zone.mkdir()
            if there:
                shutil.copytree(first, zone / "job")
            (zone / "x.zip").write_bytes(data)
            ended.append(_unpacked(zone))
        return "unpacked" if "unpacked" in ended else "refused"


def _unpacked(zone: Path) -> str:
    """Unpack into `zone`; if it is refused all is as before, and else nothing but the job is new."""
    before, job = _files(zone), zone / "job"
    with watched() as seen:
        try:
            unpack(zone / "x.zip", job, Progress(quiet=True), recorded_by="Fuzz", choose=lambda _: "theirs")
            said = "unpacked"
        except InputRefusedError as error:
            if not error.problems or not all(p.code and p.message for p in error.problems):
                raise AssertionError("refused without saying why") from error
            said = "refused"
        except LugbookError as error:  # ids that cannot be given, a trail that cannot go on
            if not str(error):
                raise AssertionError("refused without a word") from error
            said = "refused"
    waiting = {
        one for one in map(Path, seen.changed) if one.parent == zone and one.name[:12] == ".job-unpacki"
    }
    strays = set(seen.changed_outside(job, *waiting)) - {
        str(zone)
    }  # the folder that it is made in, if need be
    after = _files(zone)
    new = {name for name in after if before.get(name) != after[name]} - {"job/.lugbook.lock"}
    if strays or seen.asked:
        raise AssertionError(f"written outside, or the network asked: {strays} {seen.asked}")
    if set(before) - set(after) or (new and said == "refused") or any(not n.startswith("job/") for n in new):
        raise AssertionError(f"{said}, and these differ: {sorted(new | (set(before) - set(after)))}")
    return said


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): b"link" if path.is_symlink() else path.read_bytes()
        for path in folder.rglob("*")
        if path.is_symlink() or not path.is_dir()
    }


def _insist(problems: tuple[Problem, ...], text: str) -> None:
    """What was refused says why, and where."""
    errors = [problem for problem in problems if problem.severity == "error"]
    if not errors:
        raise AssertionError("refused without an error")
    lines = text.count("\n") + text.count("\r") + text.count("\u2028") + text.count("\x85") + 2
    for problem in errors:
        if not problem.message or not problem.code or not 0 <= problem.line <= lines:
            raise AssertionError(f"an error that does not say what or where: {problem}")


def _look(page: str) -> None:
    """No element of the page may come from the text: only what the templates write is allowed."""
    from html.parser import HTMLParser

    class Reader(HTMLParser):
        named = True  # whether the link that is open has a text or a picture

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            for name, value in attrs:
                address = (value or "").strip().lower()
                fetched = ("http", "file", "javascript") if tag != "a" else ("file", "javascript")
                if name in ("src", "href", "srcset") and address.startswith(fetched):
                    raise AssertionError(f"an address came through: {tag} {name}={value}")
            self.named = tag != "a"

        def handle_endtag(self, tag: str) -> None:
            if tag == "a" and not self.named:
                raise AssertionError("a link that nobody sees")

        def handle_data(self, data: str) -> None:
            self.named = self.named or bool(data.strip())
            if self.cdata_elem == "script" and "alert(1)" in data:
                raise AssertionError("a script came through")

    Reader().feed(page)


def targets(folder: Path) -> dict[str, Callable[..., str]]:
    """Kind of input -> what takes it."""
    fuzz = Fuzz(folder)
    return {"text": fuzz.text, "tree": fuzz.findings, "picture": fuzz.picture, "bundle": fuzz.bundle}
