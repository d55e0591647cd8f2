"""Numbers pictures in the order of the report and groups them into rows of even height."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lugbook.model.findings import Photo
from lugbook.model.job import PictureFacts
from lugbook.model.view import PictureView
from lugbook.words.catalogue import Words
from lugbook.words.numbers import Formatter

# A row is full when its pictures' aspect ratios sum to this: about two landscape pictures side by side.
FULL_ROW = 2.9
MAX_IN_ROW = 4


class Album:
    """Hands out picture numbers; `facts` are those of the originals, `times` whether to print when they were taken."""

    def __init__(self, words: Words, facts: Mapping[str, PictureFacts], *, times: bool) -> None:
        self._words = words
        self._format = Formatter(words.locale)
        self._facts = facts
        self._times = times
        self.pictures: list[PictureView] = []

    def add(self, photo: Photo) -> PictureView:
        """Give a picture its number."""
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
            aspect=round(facts.width / facts.height, 4),
        )
        self.pictures.append(picture)
        return picture

    def rows(self, photos: Iterable[Photo]) -> tuple[tuple[PictureView, ...], ...]:
        """Number the pictures and set them in rows."""
        return in_rows([self.add(photo) for photo in photos])


def in_rows(pictures: list[PictureView]) -> tuple[tuple[PictureView, ...], ...]:
    """Rows whose pictures can all have one height: a row closes when it is wide enough."""
    rows: list[list[PictureView]] = []
    for picture in pictures:
        row = rows[-1] if rows else None
        if row is None or len(row) == MAX_IN_ROW or sum(p.aspect for p in row) + picture.aspect > FULL_ROW:
            rows.append([picture])
        else:
            row.append(picture)
    return tuple(tuple(row) for row in rows)
