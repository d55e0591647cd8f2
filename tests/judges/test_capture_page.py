"""The capture page in headless Chromium, as a phone of 360 pixels: entries survive, exports are read, nothing leaks out."""

import functools
import hashlib
import io
import json
import subprocess
import sys
import threading
import zipfile
from collections.abc import Iterator
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import outside
import pytest
from PIL import Image

pytestmark = pytest.mark.judge

# The smallest target for a thumb, in CSS pixels: Android's accessibility guidance (recalled), above WCAG 2.2, 2.5.8 (24).
TARGET = 48
PHONE = {
    "viewport": {"width": 360, "height": 740},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
SEEN = "html[data-pending='0']"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("capture")
    subprocess.run([sys.executable, "-m", "lugbook", "-q", "capture", "pre-purchase", "-o", made], check=True)
    return made


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with outside.chromium() as started:
        yield started


class Phone:
    """One phone: a context of its own, and what went wrong in it."""

    def __init__(self, browser: Any, address: str, script: str = "", **options: Any) -> None:
        self.context = browser.new_context(accept_downloads=True, **PHONE, **options)
        if script:
            self.context.add_init_script(script)
        self.address = address
        self.faults: list[str] = []
        self.page = self.open()

    def open(self) -> Any:
        page = self.context.new_page()
        page.on("console", lambda m: self.faults.append(m.text) if m.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.set_default_timeout(15_000)
        page.goto(self.address)
        page.wait_for_selector("html[data-ready=yes]")
        return page

    def begin(self, number: str = "T-1") -> None:
        self.page.fill("[data-field='new.number']", number)
        self.page.click("[data-act=new-job]")
        self.page.wait_for_selector("main[data-view=boat]")

    def view(self, name: str) -> None:
        self.page.evaluate("name => { location.hash = name }", f"#{name}")
        self.page.wait_for_selector(f"main[data-view='{name.replace('%2F', '/')}']")

    def answer(self, item: str, result: str, extent: str = "") -> None:
        chosen = f"[data-extent='{extent}']" if extent else ""
        self.page.click(f"[data-item='{item}'][data-result='{result}']{chosen}")

    def fill(self, field: str, text: str) -> None:
        self.page.fill(f"[data-field='{field}']", text)

    def stored(self) -> None:
        self.page.wait_for_selector(SEEN)

    def reload(self) -> None:
        self.page.reload()
        self.page.wait_for_selector("html[data-ready=yes]")

    def export(self, to: Path) -> zipfile.ZipFile:
        self.view("export")
        with self.page.expect_download() as download:
            self.page.click("[data-act=export]")
        download.value.save_as(to)
        return zipfile.ZipFile(to)


@pytest.fixture
def phone(browser: Any, folder: Path) -> Iterator[Phone]:
    one = Phone(browser, (folder / "index.html").as_uri())
    yield one
    one.context.close()
    assert not one.faults, "the page must not break its own policy, nor any script fail"


def photo(colour: str = "navy", size: tuple[int, int] = (640, 480)) -> dict[str, Any]:
    held = io.BytesIO()
    Image.new("RGB", size, colour).save(held, "JPEG")
    return {"name": f"{colour}.jpg", "mimeType": "image/jpeg", "buffer": held.getvalue()}


def a_defect(phone: Phone) -> None:
    """A defect with awkward texts, a picture and a ring."""
    phone.view("walk/0")
    phone.answer("circuit-labels", "defect", "part seen")
    base = "results/circuit-labels.defects.0"
    phone.fill(f"{base}.title", 'No labels: "on" # 3, 50 % & more')
    phone.fill(f"{base}.place", "yes")
    phone.fill(f"{base}.seen", "- a dash first\nand: a colon\t* stars, ünïcode ⚡ \u200bhidden")
    phone.page.set_input_files(f"[data-photo=album][data-field='{base}.photos']", [photo()])
    phone.page.wait_for_selector(f"[data-field='{base}.photos.0.alt']")
    phone.fill(f"{base}.photos.0.alt", "A panel without labels")
    phone.page.click(f"[data-act=mark][data-for='{base}.photos.0']")
    box = phone.page.wait_for_selector(".board img").bounding_box()
    phone.page.wait_for_timeout(200)
    x, y = box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.5
    phone.page.mouse.move(x, y)
    phone.page.mouse.down()
    phone.page.mouse.move(x + 60, y, steps=4)
    phone.page.mouse.up()
    phone.page.wait_for_selector(f"[data-field='{base}.photos.0.marks.0.text']")


def test_an_entry_survives_a_reload(phone: Phone) -> None:
    phone.begin()
    phone.fill("report.craft.name", "Grey Tern")
    phone.view("walk/0")
    phone.answer("wiring-drawing", "no departure seen", "whole")
    phone.stored()
    phone.reload()
    assert phone.page.text_content("#title") == "Grey Tern"
    assert "No departure seen" in phone.page.text_content("[data-item-card=wiring-drawing] .said")


def test_what_is_typed_is_stored_without_leaving_the_field(phone: Phone) -> None:
    phone.begin()
    phone.page.click("[data-field='report.purpose']")
    phone.page.keyboard.type("Before a purchase")
    phone.stored()
    second = phone.page.evaluate(
        """() => new Promise(done => { const asked = indexedDB.open('lugbook-capture');
        asked.onsuccess = () => { const rows = asked.result.transaction('parts').objectStore('parts').getAll();
        rows.onsuccess = () => { asked.result.close(); done(rows.result) } } })"""
    )
    assert [row["value"]["purpose"] for row in second if row["part"] == "report"] == ["Before a purchase"]


def test_nothing_is_chosen_beforehand(phone: Phone) -> None:
    phone.begin()
    phone.view("walk/0")
    assert phone.page.locator("[data-result][aria-pressed=true]").count() == 0
    assert phone.page.locator("[data-result='no departure seen'][data-extent=whole]").count() >= 2


def test_undo_goes_back_step_by_step_even_after_a_reload(phone: Phone) -> None:
    phone.begin()
    phone.view("walk/0")
    phone.answer("wiring-drawing", "no departure seen", "whole")
    phone.answer("circuit-labels", "no departure seen", "part seen")
    phone.stored()
    phone.reload()
    for left in (1, 0):
        phone.page.click("#undo")
        phone.stored()
        assert phone.page.locator(".item.done").count() == left


def test_the_question_stays_under_the_thumb_when_it_is_answered(phone: Phone) -> None:
    phone.begin()
    phone.view("walk/0")
    phone.answer("wiring-drawing", "no departure seen", "whole")
    where = "document.querySelector('[data-item-card=circuit-labels]').getBoundingClientRect().top"
    phone.page.locator(
        "[data-item=circuit-labels][data-result='no departure seen']"
    ).first.scroll_into_view_if_needed()
    before = phone.page.evaluate(where)
    phone.page.locator("[data-item=circuit-labels][data-result='no departure seen']").first.click()
    assert abs(phone.page.evaluate(where) - before) < 2


def test_an_export_is_what_check_reads(phone: Phone, tmp_path: Path) -> None:
    phone.begin('R-1: "first"')
    phone.fill("report.craft.length", "9,2")
    phone.page.click("[data-field='report.craft.fitted.gas'][data-value=no]")
    a_defect(phone)
    phone.view("readings")
    phone.page.click("[data-act=add-reading][data-value=voltage]")
    phone.fill("readings.0.value", "35")
    phone.page.click("[data-field='readings.0.value:unit'][data-value=mV]")
    phone.page.click("[data-field='readings.0.value:bound'][data-value='<']")
    phone.fill("readings.0.place", "Joint #4, on")
    phone.view("export")
    phone.page.wait_for_selector("[data-complete=yes]")
    phone.fill("clock.trusted", "12:00:00")
    phone.page.click("[data-act=compare]")
    archive = phone.export(tmp_path / "visit.zip")
    about = json.loads(archive.read("capture.json"))
    assert (
        set(archive.namelist())
        == {*about["files"], "capture.json"}
        == {"findings.yaml", "photos/p-0001.jpg", "capture.json"}
    )
    for name, said in about["files"].items():
        data = archive.read(name)
        assert (said["sha256"], said["bytes"]) == (hashlib.sha256(data).hexdigest(), len(data))
    assert archive.read("photos/p-0001.jpg") == photo()["buffer"], "pictures leave as they came"
    assert (about["format"], about["export"], about["complete"]) == ("lugbook-capture/1", 1, True)
    assert isinstance(about["clock"]["offset_s"], int)
    assert {one.compress_type for one in archive.infolist()} == {zipfile.ZIP_STORED}
    job = tmp_path / "job"
    archive.extractall(job)
    told = subprocess.run(
        [sys.executable, "-m", "lugbook", "check", job], capture_output=True, text=True, check=False
    )
    assert told.returncode == 0, told.stderr
    assert "error" not in told.stderr
    assert "warning" not in told.stderr
    text = (job / "findings.yaml").read_text(encoding="utf-8")
    assert "value: < 35 mV" in text
    assert "length: 9.2 m" in text
    assert 'place: "yes"' in text
    assert "gas: no" in text
    assert "hidden" in text
    assert "\u200b" not in text


def test_what_is_missing_is_said_before_the_export(phone: Phone, tmp_path: Path) -> None:
    phone.begin()
    phone.view("walk/0")
    phone.answer("wiring-drawing", "defect", "whole")
    phone.view("export")
    wanted = phone.page.locator("[data-lacks=error] button")
    assert [wanted.nth(n).get_attribute("data-for").split(".")[-1] for n in range(wanted.count())] == [
        "title",
        "place",
        "seen",
    ]
    wanted.first.click()
    phone.page.wait_for_selector("main[data-view='defect/results/wiring-drawing/defects/0']")
    about = json.loads(phone.export(tmp_path / "x.zip").read("capture.json"))
    assert about["complete"] is False


def test_an_export_loads_back_as_it_was(phone: Phone, tmp_path: Path, browser: Any, folder: Path) -> None:
    """The findings as JSON stand in what 'lugbook pack' makes; here they are put in as it does."""
    phone.begin()
    a_defect(phone)
    first = phone.export(tmp_path / "a.zip")
    job = tmp_path / "job"
    lugbook = [sys.executable, "-m", "lugbook"]
    subprocess.run([*lugbook, "unpack", tmp_path / "a.zip", job], check=True, capture_output=True)
    subprocess.run([*lugbook, "pack", job, "-o", tmp_path / "b.zip"], check=True, capture_output=True)
    other = Phone(browser, (folder / "index.html").as_uri())
    other.page.set_input_files("#load", tmp_path / "b.zip")
    other.page.wait_for_selector("main[data-view^=walk]")
    second = other.export(tmp_path / "c.zip")
    assert second.read("findings.yaml") == first.read("findings.yaml")
    assert second.read("photos/p-0001.jpg") == first.read("photos/p-0001.jpg")
    one, two = (json.loads(archive.read("capture.json")) for archive in (first, second))
    assert (two["visit"], two["export"] > one["export"]) == (one["visit"], True)
    other.context.close()
    assert not other.faults


def test_another_phone_goes_on_from_an_export(
    phone: Phone, tmp_path: Path, browser: Any, folder: Path
) -> None:
    phone.begin()
    a_defect(phone)
    first = phone.export(tmp_path / "a.zip")
    other = Phone(browser, (folder / "index.html").as_uri())
    other.page.set_input_files("#load", tmp_path / "a.zip")
    other.page.wait_for_selector("main[data-view^=walk]")
    second = other.export(tmp_path / "b.zip")
    assert second.read("findings.yaml") == first.read("findings.yaml")
    one, two = (json.loads(archive.read("capture.json")) for archive in (first, second))
    assert (one["visit"], one["export"] + 1, one["from"]) == (two["visit"], two["export"], two["from"])
    other.context.close()
    assert not other.faults


def test_a_damaged_file_is_not_loaded(phone: Phone, tmp_path: Path) -> None:
    phone.begin()
    phone.export(tmp_path / "a.zip")
    with zipfile.ZipFile(tmp_path / "a.zip") as old, zipfile.ZipFile(tmp_path / "bad.zip", "w") as bad:
        for name in old.namelist():
            bad.writestr(name, old.read(name) + (b"x" if name == "findings.yaml" else b""))
    phone.view("jobs")
    phone.page.set_input_files("#load", tmp_path / "bad.zip")
    phone.page.wait_for_selector("main .said:has-text('findings.yaml')")
    assert phone.page.locator("[data-job]").count() == 1


def test_a_notice_is_written_shown_and_handed_over_first(phone: Phone, tmp_path: Path) -> None:
    phone.page.click("[data-act=notice-first]")
    phone.page.wait_for_selector("main[data-view=notice]")
    phone.fill("notice.hazard", "A bare cable at the battery; it sparks.")
    phone.fill("notice.place", "Port locker")
    phone.page.select_option("[data-field='notice.told.role']", "owner")
    phone.fill("notice.told.name", "Orla Penhallick")
    phone.fill("notice.how", "By word of mouth")
    phone.page.click("[data-field='notice.safety'][data-value='refused']")
    phone.page.select_option("[data-field='notice.refused_by']", "owner")
    phone.page.click("[data-act=show-notice]")
    assert "A bare cable" in phone.page.text_content(".hazard")
    phone.view("notice")
    with phone.page.expect_download() as download:
        phone.page.click("[data-act=export-notice]")
    download.value.save_as(tmp_path / "notice.yaml")
    from lugbook.pipeline.reading import read_notice

    assert read_notice(tmp_path / "notice.yaml").refused_by == "owner"


FORGETS = "Object.defineProperty(window, 'indexedDB', {get() { throw new Error('no') }})"


def test_a_browser_that_keeps_nothing_is_named_and_must_export(
    browser: Any, folder: Path, tmp_path: Path
) -> None:
    phone = Phone(browser, (folder / "index.html").as_uri(), FORGETS)
    assert phone.page.is_visible("#refused")
    phone.begin()
    phone.page.click("[data-field='report.purpose']")
    phone.page.keyboard.type("Forty keys are forty entries, and more..")
    phone.view("walk/0")
    assert phone.page.is_visible("#forced")
    phone.page.click("#force-export")
    assert phone.export(tmp_path / "x.zip").testzip() is None
    phone.view("boat")
    assert not phone.page.is_visible("#forced")
    phone.context.close()


def test_little_room_is_told_before_it_is_gone(browser: Any, folder: Path) -> None:
    script = "navigator.storage.estimate = async () => ({quota: 1e9, usage: 1e9 - 6e7})"
    phone = Phone(browser, (folder / "index.html").as_uri(), script)
    phone.begin()
    phone.page.set_input_files("[data-photo=album][data-field='report.craft.photo']", [photo()])
    phone.page.wait_for_selector("#room:visible")
    assert "12 more pictures" in phone.page.text_content("#room")
    phone.context.close()


@pytest.fixture(scope="module")
def hosted(folder: Path) -> Iterator[str]:
    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Quiet, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    server.server_close()


def test_a_hosted_copy_opens_without_a_signal(browser: Any, hosted: str) -> None:
    phone = Phone(browser, hosted)
    phone.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    phone.begin()
    phone.stored()
    phone.context.set_offline(True)
    phone.reload()
    assert phone.page.text_content("#title") == "T-1"
    phone.context.close()
    assert not phone.faults


VIEWS = (
    "jobs",
    "boat",
    "walk/0",
    "defect/results%2Fcircuit-labels/defects/0",
    "readings",
    "reading/0",
    "installation",
    "extra",
    "export",
    "notice",
    "more",
    "settings",
    "search",
)
SMALL = """limit => [...document.querySelectorAll("button, select, summary, input, textarea, label.button")]
  .filter(one => one.checkVisibility() && !one.classList.contains("visually-hidden"))
  .map(one => [one, one.getBoundingClientRect()])
  .filter(([, box]) => box.height < limit - 0.5 || box.width < limit - 0.5)
  .map(([one, box]) => `${one.outerHTML.slice(0, 90)} ${Math.round(box.width)}x${Math.round(box.height)}`)"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_view_is_accessible_and_fits_a_narrow_phone(browser: Any, folder: Path, scheme: str) -> None:
    phone = Phone(browser, (folder / "index.html").as_uri(), color_scheme=scheme)
    phone.begin()
    a_defect(phone)
    phone.view("readings")
    phone.page.click("[data-act=add-reading][data-value=voltage]")
    phone.view("installation")
    for kind in ("batteries", "switches", "conductors"):
        phone.page.click(f"[data-act=add][data-for='installation.{kind}']")
    phone.page.evaluate(outside.AXE.read_text(encoding="utf-8") + "\n;undefined")
    found = []
    for name in VIEWS:
        phone.view(name)
        phone.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
        phone.page.wait_for_timeout(100)
        said = phone.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        found += [
            f"{name} {rule['id']} {node['target']} {node['html'][:160]} {[c['message'] for c in node['any']]}"
            for rule in said["violations"]
            for node in rule["nodes"]
        ]
        wide = phone.page.evaluate("document.documentElement.scrollWidth")
        found += [f"{name}: {wide} px wide"] if wide > 360 else []
        found += [f"{name}: {one}" for one in phone.page.evaluate(SMALL, TARGET)]
        shown = (
            outside.JUDGES / "pictures" / f"capture-{name.replace('/', '-').replace('%2F', '-')}-{scheme}.png"
        )
        shown.parent.mkdir(parents=True, exist_ok=True)
        phone.page.screenshot(path=shown, full_page=True)
    phone.context.close()
    assert not found, "\n".join(found)
    assert not phone.faults


def test_the_keyboard_alone_answers_a_question(phone: Phone) -> None:
    phone.begin()
    phone.view("walk/0")
    for _ in range(40):
        phone.page.keyboard.press("Tab")
        if phone.page.evaluate("document.activeElement.dataset.result") == "no departure seen":
            break
    phone.page.keyboard.press("Enter")
    phone.stored()
    assert phone.page.locator(".item.done").count() == 1
    assert phone.page.evaluate("document.activeElement !== document.body"), "the focus is not lost"
