"""Numbers pictures in the order of the report and groups them into rows of even height."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lugbook.model.findings import Photo
from lugbook.model.job import PictureFacts
from lugbook.model.view import PictureView
from lugbook.words.catalogue import Words
from lugbook.words.numbers import Formatter

# A row is full when its pictures' aspect ratios sum to this: two landscape pictures side by side, or three where
# there are many, so that a defect with many pictures still fits on a page.
FULL_ROW = 2.9
FULL_ROW_OF_MANY = 4.3
MANY = 4
MAX_IN_ROW = 5
GAP = 2.0
"""Per cent of the row's width between two pictures; the style sheets use the same."""


class Album:
    """Hands out picture numbers; `facts` are those of the originals, `times` whether to print when they were taken."""

    def __init__(self, words: Words, facts: Mapping[str, PictureFacts], *, times: bool) -> None:
        self._words = words
        self._format = Formatter(words.locale)
        self._facts = facts
        self._times = times
        self.pictures: list[PictureView] = []

    def add(self, photo: Photo, width: float = 100.0) -> PictureView:
        """Give a picture its number. `width` is its share of the row in per cent."""
        number = len(self.pictures) + 1
        facts = self._facts[photo.file]
        taken = self._format.moment(facts.taken) if self._times and facts.taken else None
        picture = PictureView(
            key=f"picture-{number}.jpg",
            thumb=f"thumb-{number}.jpg",
            file=photo.file,
            anchor=f"picture-{number}",
            number=number,
            label=self._words("picture.label", n=number),
            caption=photo.caption,
            alt=photo.alt,
            marks=photo.marks,
            taken=self._words("picture.taken", when=taken) if taken else None,
            tall=facts.height > facts.width,
            width=f"{width:.2f}%",
        )
        self.pictures.append(picture)
        return picture

    def rows(self, photos: Iterable[Photo]) -> tuple[tuple[PictureView, ...], ...]:
        """Number the pictures and set them in rows."""
        shaped = [(photo, self._aspect(photo)) for photo in photos]
        full = FULL_ROW_OF_MANY if len(shaped) >= MANY else FULL_ROW
        set_rows = []
        for row in in_rows(shaped, full):
            shares = widths([aspect for _, aspect in row], full)
            set_rows.append(
                tuple(self.add(photo, share) for (photo, _), share in zip(row, shares, strict=True))
            )
        return tuple(set_rows)

    def _aspect(self, photo: Photo) -> float:
        facts = self._facts[photo.file]
        return facts.width / facts.height


def in_rows(photos: list[tuple[Photo, float]], full: float) -> list[list[tuple[Photo, float]]]:
    """Photos with their aspect ratios, in rows: a row closes when it is wide enough."""
    rows: list[list[tuple[Photo, float]]] = []
    for photo, aspect in photos:
        row = rows[-1] if rows else None
        if row is None or len(row) == MAX_IN_ROW or sum(a for _, a in row) + aspect > full:
            rows.append([(photo, aspect)])
        else:
            row.append((photo, aspect))
    return rows


def widths(aspects: list[float], full: float) -> list[float]:
    """Per cent of the row for each picture, so that all are equally high; a lone one does not fill the row."""
    room = 100.0 - GAP * (len(aspects) - 1)
    share = min(1.0, sum(aspects) / (full * 0.9))
    return [room * share * aspect / sum(aspects) for aspect in aspects]
