"""What has changed since an earlier visit, as part of a report."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date
from typing import get_args

from lugbook.compose.common import Phrases
from lugbook.compose.pictures import Album
from lugbook.model.changes import Change, Changes, ChangeWord, Pair, Side
from lugbook.model.findings import Photo
from lugbook.model.view import ChangesView, ChangeView, Fact, PairView, PictureView

ORDER: tuple[ChangeWord, ...] = get_args(ChangeWord)


def compose_changes(changes: Changes, phrases: Phrases, album: Album) -> ChangesView:
    """The section of a return visit's report. Pictures that the album holds already keep their numbers."""
    words = phrases.words
    revision = words("changes.revision", n=changes.revision) if changes.revision else ""
    intro = words("changes.since", report=changes.report, revision=revision, day=phrases.day(changes.visited))
    return changes_view(changes, phrases, album, words("title.changes"), intro)


def changes_view(
    changes: Changes,
    phrases: Phrases,
    album: Album,
    title: str,
    intro: str,
    name: Callable[[str], str] = str,
) -> ChangesView:
    """All changes under a heading. `name` tells what an element of the installation is called."""
    counted = Counter(row.state for row in changes.rows)
    return ChangesView(
        title=title,
        intro=intro,
        counts=tuple(
            phrases.words.count(f"changes.count.{state}", counted[state]) for state in ORDER if counted[state]
        ),
        rows=tuple(_row(row, changes.visited, phrases, album, name) for row in changes.rows),
        pairs=_pairs(changes.pairs, phrases),
    )


def changes_in_short(changes: Changes, phrases: Phrases) -> str:
    """One sentence for the first page."""
    counted = Counter(row.state for row in changes.rows)
    parts = [phrases.words(f"changes.short.{state}", n=counted[state]) for state in ORDER if counted[state]]
    return phrases.words("changes.verdict", day=phrases.day(changes.visited), counts=", ".join(parts) + ".")


def _row(
    row: Change, visited: date | None, phrases: Phrases, album: Album, name: Callable[[str], str]
) -> ChangeView:
    words = phrases.words
    bare = row.title == row.place  # computed alone: both are the element that it stands at
    return ChangeView(
        id=row.id,
        anchor=f"change-{row.id}",
        state=row.state,
        state_words=words(f"changes.state.{row.state}"),
        title=name(row.title) if bare else row.title,
        place=name(row.place) if bare else row.place,
        link=f"defect-{row.id}" if row.number is not None else None,
        link_words=words("changes.see", n=row.number) if row.number is not None else "",
        then=_level(row.before, row.state, phrases) if row.before else "–",
        now=_level(row.after, row.state, phrases),
        texts=_texts(row, visited, phrases),
        before=_pictures(row.before.photos, album) if row.before else (),
        after=_pictures(row.after.photos, album) if row.before and row.after else (),
        pairs=_pairs(row.pairs, phrases),
    )


def _level(side: Side | None, state: ChangeWord, phrases: Phrases) -> str:
    words = phrases.words
    if side is None:
        return words(f"changes.closed.{state if state in ('fixed', 'gone') else 'other'}")
    if side.level is None:
        return words(f"changes.closed.{'gone' if state == 'gone' else 'fixed'}")
    level = phrases.level(side.level).words
    if side.act_by is None:
        return words("changes.level_alone", level=level)
    return words("changes.level", level=level, act_by=words(f"act_by_inline.{side.act_by}"))


def _texts(row: Change, visited: date | None, phrases: Phrases) -> tuple[Fact, ...]:
    """Then, now, and what happened between; nothing for a new defect, which has its own entry."""
    if row.before is None:
        return ()
    words = phrases.words
    found = [Fact(label=words("changes.then"), text=row.before.seen, markdown=True)]
    if row.after is not None and row.after.seen:
        found.append(Fact(label=words("changes.now"), text=row.after.seen, markdown=True))
    if row.remark is not None:
        found.append(Fact(label=words("changes.remarks"), text=words(f"changes.remark.{row.remark}")))
    if row.first_seen is not None and row.first_seen != visited:
        found.append(Fact(label=words("changes.first_seen"), text=phrases.day(row.first_seen)))
    if row.history:
        found.append(Fact(label=words("changes.history"), text="; ".join(row.history)))
    return tuple(found)


def _pictures(photos: Iterable[Photo], album: Album) -> tuple[PictureView, ...]:
    known = {(picture.file, picture.caption): picture for picture in album.pictures}
    return tuple(known.get((photo.file, photo.caption)) or album.add(photo) for photo in photos)


def _pairs(pairs: Iterable[Pair], phrases: Phrases) -> tuple[PairView, ...]:
    words = phrases.words
    not_again = words("changes.not_again")
    return tuple(
        PairView(
            place=pair.place,
            quantity=words(f"quantity.{pair.quantity}"),
            before=phrases.format.quantity(pair.before) if pair.before else "–",
            after=phrases.format.quantity(pair.after) if pair.after else not_again,
        )
        for pair in pairs
    )
