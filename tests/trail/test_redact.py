"""Copies for third parties: no name, contact, identifier or place in any byte, nothing private in any picture."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from pathlib import Path

import pytest
from PIL import Image
from tampering import noticed
from trail_jobs import FINDINGS, OWN, Story, files_of, lugbook, run

from lugbook.compose.redact import Scrubber

SECRETS = (
    "Ada Client", "ada@example.org", "Otto Owner", "Ina Spector", "Spector", "XX-TRI00001A000", "T 7/2026", "Port Ennor",
    "Berth 6", "Otto", "01632 960114", "Boat Works", "SN-4711", "The Grey Gull", "Saltquill", "Sam Helper", "one.jpg",
)  # fmt: skip
WHOLE = (
    FINDINGS.replace("craft: {name: Trial, ", "craft: {name: The Grey Gull, builder: Saltquill, photo: {file: two.jpg, caption: The Grey Gull, alt: A boat}, ")
    .replace("place: A yard", 'place: "Port Ennor, Berth 6", present: [Sam Helper (surveyor)]')
    .replace("competence: trained,", 'competence: trained, business: Boat Works, contact: "01632 960114",')
    .replace("  basis:", "  instruments: [{id: meter, name: Meter, serial: SN-4711}]\n  limitations: [Otto locked the cabin of the Grey Gull; see ada@example.org or +44 1632 960 999.]\n  basis:")
    .replace("seen: It hangs.", 'seen: "It hangs, said OTTO OWNER at Port  Ennor on 2026-06-02."')
    .replace("caption: The post, alt: A post, marks: [{mark: ring, at: [0.4, 0.5], size: 0.2}]",
             "caption: The post of Otto, alt: A post, cover: [[[0.5, 0.5], [1, 1]]], marks: [{mark: label, at: [0.2, 0.2], text: Otto}]")
)  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A job with something private everywhere, and its copy."""
    job = tmp_path_factory.mktemp("redact") / "trial"
    (job / "photos").mkdir(parents=True)
    (job / "findings.yaml").write_text(WHOLE, encoding="utf-8")
    (job / "own.yaml").write_text(OWN, encoding="utf-8")
    exif = Image.Exif()
    exif[0x010E] = "taken at Port Ennor"
    exif[0x8825] = {1: "N", 2: (50.0, 5.0, 5.0)}
    picture = Image.new("RGB", (400, 300), "#ffffff")
    picture.paste((255, 0, 0), (200, 150, 400, 300))
    picture.save(job / "photos" / "one.jpg", exif=exif, quality=95)
    Image.new("RGB", (48, 36), "#00ff00").save(job / "photos" / "two.jpg", exif=exif)
    assert lugbook("check", job).code == 0, lugbook("check", job).err
    assert lugbook("issue", job).code == 0, lugbook("issue", job).err
    decided = ("--authority", "owner", "--channel", "mail", "--date", "2026-06-05")
    assert (
        lugbook(
            "decide", job, "d2", "declined", "--by", "owner", *decided, "--note", "Otto will see to it."
        ).code
        == 0
    )
    assert lugbook("issue", job, "--reason", "Otto was heard.").code == 0
    out = job.parent / "copy"
    ran = lugbook("redact", job, "-o", out)
    assert ran.code == 0, ran.err
    assert "pictures left out: 2, with parts covered: 1" in ran.out
    return job, out


def everything(out: Path, place: Path) -> dict[str, str]:
    """Every output as text: files without their base64 parts, the PDF's text and metadata, its attachments."""
    texts = {
        path: re.sub(rb"base64,[A-Za-z0-9+/=]+", b"", data).decode("utf-8", "replace")
        for path, data in files_of(out).items()
        if not path.endswith(".pdf")
    }
    pdf = out / "report.pdf"
    texts["pdf text"] = " ".join(run("pdftotext", "-layout", pdf, "-").stdout.decode().split())
    texts["pdf metadata"] = (run("pdfinfo", pdf).stdout + run("pdfinfo", "-meta", pdf).stdout).decode()
    texts["pdf bytes"] = pdf.read_bytes().decode("latin-1")
    assert run("pdfdetach", "-saveall", "-o", place, pdf).returncode == 0
    texts |= {f"attached {path}": data.decode() for path, data in files_of(place).items()}
    assert {"attached manifest.json", "attached findings.json"} <= set(texts)
    return texts


def test_nothing_private_is_in_any_output(made: tuple[Path, Path], tmp_path: Path) -> None:
    texts = everything(made[1], tmp_path)
    assert len(texts) >= 10
    for secret in SECRETS:
        for where, text in texts.items():
            found = re.search(rf"(?<!\w){re.escape(secret)}(?!\w)", " ".join(text.split()), re.IGNORECASE)
            assert not found, (secret, where)
    assert "960 999" not in texts["report.html"]
    assert "[…]" in texts["report.html"]
    assert "withheld" in texts["pdf text"]
    assert "said […] at […] on 2026-06-02" in texts["pdf text"]  # what is no name stays


def test_the_original_holds_all_of_it(made: tuple[Path, Path]) -> None:
    text = (made[0] / "issued" / "T-7-2026-r2" / "report.html").read_text(encoding="utf-8")
    for secret in SECRETS[:4]:
        assert secret in text


def pictures(out: Path) -> list[Image.Image]:
    html = (out / "report.html").read_text(encoding="utf-8")
    found = re.findall(r"data:image/\w+;base64,([A-Za-z0-9+/=]+)", html)
    return [Image.open(io.BytesIO(base64.b64decode(data))) for data in found]


def test_private_parts_are_painted_over_and_metadata_is_gone(made: tuple[Path, Path]) -> None:
    shown = pictures(made[1])
    assert shown
    for picture in shown:
        assert not picture.getexif()
        pixels = picture.convert("RGB")
        width, height = pixels.size
        corner = [
            pixels.getpixel((x, y)) for x in range(width // 2, width) for y in range(height // 2, height)
        ]
        assert all(red < 60 and green < 80 and blue < 100 for red, green, blue in corner)
        assert not any(
            g > 200 and r < 100 for r, g, _ in [pixels.getpixel((1, 1))]
        )  # the private picture was green
    original = pictures(made[0] / "issued" / "T-7-2026-r2")
    assert any(
        picture.convert("RGB").getpixel((picture.width - 2, picture.height - 2))[0] > 200
        for picture in original
    )


def test_its_manifest_names_the_originals_sum(made: tuple[Path, Path]) -> None:
    job, out = made
    manifest = json.loads((out / "manifest.json").read_bytes())
    original = (job / "issued" / "T-7-2026-r2" / "manifest.json").read_bytes()
    assert manifest["redacted_from"] == hashlib.sha256(original).hexdigest()
    assert {file["path"] for file in manifest["files"]} == {"findings.json", "report.json"}
    sum_ = hashlib.sha256((out / "manifest.json").read_bytes()).hexdigest()
    assert sum_ in (out / "report.html").read_text(encoding="utf-8")
    assert run("sha256sum", "--strict", "-c", "SHA256SUMS", cwd=out).returncode == 0
    checked = noticed(out)
    assert (checked.code, manifest["redacted_from"] in checked.out) == (0, True)
    assert b'"private"' not in (out / "findings.json").read_bytes()
    assert b'"cover"' not in (out / "findings.json").read_bytes()


def test_changes_to_the_copy_are_noticed(made: tuple[Path, Path]) -> None:
    out = made[1]
    for path, data in files_of(out).items():
        (out / path).write_bytes(data[:-2] + b"#" + data[-1:])
        assert noticed(out).code == 1, path
        (out / path).unlink()
        assert lugbook("verify", out).code == (2 if path == "manifest.json" else 1), path
        (out / path).write_bytes(data)
    (out / "more.txt").write_text("x", encoding="utf-8")
    assert noticed(out).code == 1
    (out / "more.txt").unlink()
    assert noticed(out).code == 0


def test_signed_by_the_way_and_withheld_by_hand(copied: Story, tmp_path: Path) -> None:
    ran = lugbook(
        "redact",
        copied.job,
        "--revision",
        "1",
        "-o",
        tmp_path / "a",
        "--key",
        copied.key,
        "--withhold",
        "loose lamp",
    )
    assert ran.code == 0, ran.err
    assert "loose lamp" not in (tmp_path / "a" / "report.html").read_text(encoding="utf-8")
    assert noticed(tmp_path / "a", "--signers", copied.signers).code == 0
    assert lugbook("redact", copied.first, "-o", tmp_path / "b").code == 0
    assert noticed(tmp_path / "b", "--signers", copied.signers).code == 1
    assert lugbook("redact", copied.first, "-o", tmp_path / "b").code == 2
    assert lugbook("redact", tmp_path / "b", "-o", tmp_path / "c").code == 2


def test_issue_can_make_the_copy_at_once(fresh: Path, tmp_path: Path) -> None:
    ran = lugbook("issue", fresh, "--redact", tmp_path / "copy")
    assert ran.code == 0, ran.err
    assert (tmp_path / "copy" / "report.pdf").exists()
    assert noticed(fresh).code == 0


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Mark Low was here", "[…] was here"),
        ("the low mark", "the low mark"),
        ("MARK said", "[…] said"),
        ("at Blue  Anchor\nQuay", "at […]"),
        ("blue anchor quay", "[…]"),
        ("call 01632 960114 or 12.62 V at 14:10", "call […] or 12.62 V at 14:10"),
        ("x@y.example", "[…]"),
        ("2026-06-02, 230 V, 10 000 A", "2026-06-02, 230 V, 10 000 A"),
    ],
)
def test_scrubbing(text: str, wanted: str) -> None:
    assert Scrubber(["Blue Anchor Quay"], ["Mark Low"]).text(text) == wanted


def test_a_firms_name_takes_no_common_words_with_it(fresh: Path, tmp_path: Path) -> None:
    text = FINDINGS.replace(
        "reliance: the client", "reliance: the client\n  distribution: [Bright Boat Works, Sam Helper]"
    )
    (fresh / "findings.yaml").write_text(text.replace("It hangs.", "Sam saw it."), encoding="utf-8")
    assert lugbook("issue", fresh, "--redact", tmp_path / "copy").code == 0
    html = (tmp_path / "copy" / "report.html").read_text(encoding="utf-8")
    assert "<dt>Boat</dt>" in html
    assert "[…] saw it." in html
    assert "Bright" not in html
