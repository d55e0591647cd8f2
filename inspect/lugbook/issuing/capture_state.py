"""What a job keeps of each export that came and each pack that went, in `.capture/1`, `.capture/2` and so on.

The last of them is what both sides know, and so the base of the next merge. None is ever changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from lugbook.model.export import Capture, HexSum, VisitId
from lugbook.trail.canonical import TrailError, canonical, digest, file_digest

FOLDER, STATE, FINDINGS, NOTICE, CAPTURE = (
    ".capture",
    "state.json",
    "findings.yaml",
    "notice.yaml",
    "capture.json",
)


class State(BaseModel):
    """One export or pack. `defects` and `photos` say what the phone's ids and names became in the job."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    format: Literal["lugbook-captured-1"] = "lugbook-captured-1"
    kind: Literal["export", "pack"]
    visit: VisitId
    export: int
    findings: HexSum
    pictures: dict[str, HexSum]
    defects: dict[str, str]
    photos: dict[str, str]

    def to_bytes(self) -> bytes:
        """Canonical JSON."""
        return canonical(self.model_dump())


@dataclass(frozen=True, slots=True)
class Kept:
    """A state and where its files lie."""

    state: State
    folder: Path

    def findings(self) -> str:
        """The findings as they were. Raises TrailError if they are no longer there, or altered."""
        path = self.folder / FINDINGS
        try:
            data = path.read_bytes()
        except OSError as error:
            raise TrailError(
                f"{path} cannot be read ({error.strerror}), so nobody can tell who changed what; unpack into a new "
                "folder and put the two together by hand"
            ) from error
        if digest(data) != self.state.findings:
            raise TrailError(f"{path} was altered, so nobody can tell who changed what")
        return data.decode("utf-8")

    def notice(self) -> bytes | None:
        """The notice as it was, if there was one."""
        path = self.folder / NOTICE
        return path.read_bytes() if path.is_file() else None


def states(job: Path) -> list[Kept]:
    """Everything that came and went, oldest first. Raises TrailError."""
    found = []
    for path in (job / FOLDER).glob("*"):
        if path.name.isdecimal() and (path / STATE).is_file():
            try:
                state = State.model_validate_json((path / STATE).read_bytes())
            except (OSError, ValidationError) as error:
                raise TrailError(f"{path / STATE} cannot be read") from error
            found.append((int(path.name), Kept(state, path)))
    return [kept for _, kept in sorted(found, key=lambda pair: pair[0])]


def next_folder(kept: list[Kept]) -> str:
    """Where the next one goes, relative to the job."""
    last = max((int(one.folder.name) for one in kept), default=0)
    return f"{FOLDER}/{last + 1}"


def base_of(kept: list[Kept], capture: Capture) -> Kept | None:
    """What the phone and the job last had in common.

    That is the last export that was unpacked, or a later pack if the page says that it was loaded from that one.
    """
    of_visit = [one for one in kept if one.state.visit == capture.visit]
    known = [one for one in of_visit if one.state.kind == "export" or one.state.findings == capture.came_from]
    return known[-1] if known else None


def pictures_in(folder: Path) -> dict[str, str]:
    """The sums of all files below photos/, by path."""
    files = [
        path for path in sorted((folder / "photos").rglob("*")) if path.is_file() and not path.is_symlink()
    ]
    return {path.relative_to(folder).as_posix(): file_digest(path) for path in files}
