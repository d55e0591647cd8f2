"""Archives that somebody tampered with: each is refused with its reason, and nothing is written."""

from __future__ import annotations

import io
import stat
import zipfile
from pathlib import Path

import pytest
from exports import (
    TWISTS,
    Parts,
    Twist,
    crowd,
    cut,
    encrypted,
    facts,
    facts_of,
    files,
    info,
    missing,
    named,
    no_picture,
    of_kind,
    picture,
    twice,
    understated,
    unlisted,
    write_export,
)

from lugbook.errors import InputRefusedError
from lugbook.load import export as export_module
from lugbook.load.export import read_export
from lugbook.load.export_names import clashes, folded, name_fault
from lugbook.pipeline.exchange import opened_export
from lugbook.progress import Progress


def codes(tmp_path: Path, twist: Twist, **more: object) -> list[str]:
    """The codes that an archive is refused with; the folder to unpack into must stay without pictures of it."""
    archive = write_export(tmp_path / "x.zip", files(), twist=twist, **more)
    into = tmp_path / "into"
    into.mkdir()
    try:
        opened_export(archive, into, Progress(quiet=True))
    except InputRefusedError as error:
        return [problem.code for problem in error.problems]
    return []


def test_a_sound_export_is_laid_out_whole(tmp_path: Path) -> None:
    assert codes(tmp_path, TWISTS["none"]) == []
    laid = {
        p.relative_to(tmp_path / "into").as_posix() for p in (tmp_path / "into").rglob("*") if p.is_file()
    }
    assert laid == {"findings.yaml", "photos/one.jpg", "capture.json"}
    assert (tmp_path / "into" / "photos" / "one.jpg").read_bytes() == picture()


BAD_NAMES = [
    "/etc/x.jpg",
    "../x.jpg",
    "photos/../x.jpg",
    "photos/../../x.jpg",
    "photos\\..\\x.jpg",
    "C:/x.jpg",
    "C:x.jpg",
    "//host/share/x.jpg",
    "~/x.jpg",
    "photos//x.jpg",
    "photos/./x.jpg",
    "photos/x\n.jpg",
    "photos/x\x07.jpg",
    "photos/x\x7f.jpg",
    "photos/\u202egpj.exe.jpg",
    "photos/con.jpg",
    "photos/LPT1.x.jpg",
    "photos/nul/x.jpg",
    "photos/COM\u00b9.jpg",
    "photos/x.jpg.",
    "photos/x .jpg/y.jpg ",
    "photos/x?.jpg",
    "photos/x.jpg:stream.jpg",
    f"photos/{'x' * 200}.jpg",
]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_names_that_lead_out_or_that_a_disk_cannot_hold(name: str, tmp_path: Path) -> None:
    assert "P702" in codes(tmp_path, named(name))
    assert [path.name for path in (tmp_path / "into").rglob("*")] == []


def test_a_name_that_goes_on_after_a_zero_byte(tmp_path: Path) -> None:
    def twist(parts: Parts) -> None:
        parts.add("photos/x.jpg~y.jpg", picture())
        parts.after = lambda data: data.replace(b"photos/x.jpg~y", b"photos/x.jpg\0y")

    assert "P702" in codes(tmp_path, twist)


@pytest.mark.parametrize(
    "name", ["photos/x.jpg", "photos/ä ö.JPG", "photos/R-1/console.jpeg", "photos/common.heic"]
)
def test_names_that_are_taken(name: str) -> None:
    assert name_fault(name) == ""


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("photos/two.jpg", "photos/TWO.jpg"),
        ("photos/\u00e4.jpg", "photos/a\u0308.jpg"),  # Unicode Standard Annex 15: canonical equivalents
        ("photos/stra\u00dfe.jpg", "photos/STRASSE.jpg"),  # Unicode CaseFolding.txt: 00DF; F; 0073 0073
        ("photos/a.jpg", "photos/a.jpg/b.jpg"),
        ("photos/a.jpg", "photos/a.jpg"),
    ],
)
def test_names_that_would_be_one_file(one: str, other: str, tmp_path: Path) -> None:
    assert clashes([one, other]) == [(one, other)]
    entry = info(other)

    def twist(parts: Parts) -> None:
        parts.add(one, picture())
        parts.add(entry, picture("#000000"))

    if one != other:  # the writer warns of equal names; see below
        assert "P705" in codes(tmp_path, twist)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_one_name_twice(tmp_path: Path) -> None:
    assert codes(tmp_path, twice) == ["P705"]


def test_folding_is_stable() -> None:
    for name in ("photos/\u0130.jpg", "photos/\u1e9e.jpg", "photos/\u0345\u03b1.jpg"):
        assert folded(folded(name)) == folded(name)


@pytest.mark.parametrize(
    "mode", [stat.S_IFLNK | 0o777, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFDIR | 0o755, stat.S_IFSOCK]
)
def test_what_is_no_ordinary_file(mode: int, tmp_path: Path) -> None:
    assert "P703" in codes(tmp_path, of_kind(mode))


def test_a_link_by_the_attributes_of_another_system(tmp_path: Path) -> None:
    entry = info("photos/x.jpg")
    entry.external_attr = 0x400
    assert "P703" in codes(tmp_path, lambda parts: parts.add(entry, picture()))


def test_encrypted_entries(tmp_path: Path) -> None:
    assert "P703" in codes(tmp_path, encrypted)


def test_bombs(tmp_path: Path) -> None:
    for number, (twist, code) in enumerate(
        ((TWISTS["a bomb"], "P704"), (crowd, "P704"), (understated, "P701"))
    ):
        place = tmp_path / str(number)
        place.mkdir()
        assert code in codes(place, twist)
        assert sum(path.stat().st_size for path in place.rglob("*") if path.name != "x.zip") < 100_000


def test_a_total_and_a_file_over_the_limit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export_module, "MAX_TOTAL", 100)
    assert "P704" in codes(tmp_path, TWISTS["none"])
    monkeypatch.undo()
    monkeypatch.setattr(export_module, "MAX_PICTURE", 100)
    (tmp_path / "other").mkdir()
    assert codes(tmp_path / "other", TWISTS["none"]) == ["P704"]


def test_entries_that_share_their_bytes(tmp_path: Path) -> None:
    """Source of the trick: D. Fifield, 'A better zip bomb', 2019 (recalled): many directory entries, one body."""
    archive = write_export(tmp_path / "x.zip", files())
    found: list[str] = []
    with zipfile.ZipFile(archive) as opened:
        together = sum(entry.compress_size for entry in opened.infolist())
        for size in (together, together - 1):
            export_module._directory(opened, size, lambda code, *_told: found.append(code))
    assert found == ["P704"]


def test_a_huge_directory_is_not_even_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export_module, "MAX_DIRECTORY", 100)
    assert codes(tmp_path, TWISTS["none"]) == ["P701"]


@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.9, 0.99])
def test_cut_short(share: float, tmp_path: Path) -> None:
    assert codes(tmp_path, cut(share)) == ["P701"]


def test_every_wrong_byte_is_refused_and_never_crashes(tmp_path: Path) -> None:
    """One byte changed, all over the archive: refused, or the same bytes come out."""
    sound = write_export(tmp_path / "sound.zip", files()).read_bytes()
    for number, at in enumerate(range(0, len(sound), 37)):
        archive = tmp_path / "x.zip"
        archive.write_bytes(sound[:at] + bytes([sound[at] ^ 0x55]) + sound[at + 1 :])
        into = tmp_path / str(number)
        into.mkdir()
        export, problems = read_export(archive, into)
        if export is not None:
            laid = {name: (into / name).read_bytes() for name in files()}
            assert laid == files()
        else:
            assert problems


@pytest.mark.parametrize(
    ("twist", "expected"),
    [
        (TWISTS["no facts"], ["P706"]),
        (facts(format="lugbook-capture/2"), ["P706"]),
        (facts(visit="me"), ["P706"]),
        (facts(files=None), ["P706"]),
        (facts(export=-1), ["P706"]),
        (facts(export="1"), ["P706"]),
        (facts(clock={"phone": "yesterday"}), ["P706"]),
        (facts(clock={"phone": None, "offset_s": 1e400}), ["P706"]),
        (facts(files={}), ["P707", "P707", "P707"]),
        (missing, ["P707"]),
        (unlisted, ["P707"]),
        (TWISTS["a program"], ["P707"]),
        (TWISTS["damaged"], ["P708"]),
        (no_picture, ["P304"]),
        (facts(later="a key that this version does not know"), []),
    ],
)
def test_facts_and_files(twist: Twist, expected: list[str], tmp_path: Path) -> None:
    assert codes(tmp_path, twist) == expected


def test_an_archive_inside_the_archive(tmp_path: Path) -> None:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as made:
        made.writestr("x.jpg", picture())
    assert codes(tmp_path, lambda parts: parts.add("photos/inner.jpg", inner.getvalue())) == ["P304"]


def test_a_wrong_length_is_told(tmp_path: Path) -> None:
    def twist(parts: Parts) -> None:
        assert parts.facts is not None
        parts.facts["files"]["photos/one.jpg"] = {**facts_of(picture()), "bytes": 7}

    assert codes(tmp_path, twist) == ["P708"]


def test_findings_that_are_no_yaml(tmp_path: Path) -> None:
    archive = write_export(tmp_path / "x.zip", files("a: [1\n"))
    (tmp_path / "into").mkdir()
    with pytest.raises(InputRefusedError) as caught:
        opened_export(archive, tmp_path / "into", Progress(quiet=True))
    (problem,) = caught.value.problems
    assert (problem.code, problem.file) == ("P003", f"{archive.as_posix()}/findings.yaml")


def test_many_faults_are_told_at_once(tmp_path: Path) -> None:
    def twist(parts: Parts) -> None:
        named("photos/../x.jpg")(parts)
        of_kind(stat.S_IFLNK)(parts)
        TWISTS["a program"](parts)
        TWISTS["a bomb"](parts)

    assert sorted(set(codes(tmp_path, twist))) == ["P702", "P703", "P704", "P707"]
