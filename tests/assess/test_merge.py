"""How computed and seen defects become one, and what cannot be lowered in silence."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lugbook.assess.merge import Computed, Dropped, departures, merge, place, unused
from lugbook.assess.risk import LEVELS
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.model.checklist import Item, Source
from lugbook.model.evidence import Amount, Bound, Evidence
from lugbook.model.installation import InstallationFile
from lugbook.model.network import Network
from lugbook.model.vocabulary import Exposure, Level

BOAT = Path(__file__).parents[1] / "boats" / "four-position-switch.yaml"


@pytest.fixture
def boat_network() -> Network:
    document = read_document(BOAT, BOAT.name)
    file = build(InstallationFile, document)
    assert file is not None
    network = load_installation(file.installation, document)
    assert network is not None
    return network


@dataclass(frozen=True)
class Eye:
    item: str | None
    at: str | None
    level: Level
    disagree: str | None = None


def piece(
    item: str,
    at: str,
    *,
    verdict: str = "departure",
    basis: str = "good-practice",
    exposure: Exposure = "usual",
) -> Evidence:
    limit = Bound(0.2, "m", "at most", basis, "common practice", "good practice", "recalled")
    return Evidence(
        "coverage", "overcurrent", at, ("installation",), at, item, basis, 1.0, 1.0, "m", (), "L", ("L = ", Amount(1.0, "m")), limit, (),
        verdict, (), -4.0, (), "as found", False, (f"{at} is unprotected",), exposure=exposure,  # type: ignore[arg-type]
    )  # fmt: skip


def item(name: str) -> Item | None:
    if name == "unlisted":
        return None
    return Item(
        id=name, question="Is it?", look="Look.", why="Fire.", remedy="Mend.", severity="critical", harms="people", danger="latent",
        probability={"usual": "occasional", "covered": "remote", "exposed": "probable"}, source=(Source(document="common practice"),),
    )  # fmt: skip


def computed(*pieces: Evidence) -> tuple[Computed, ...]:
    return departures(pieces, item)


def test_only_departures_become_defects_one_for_each_item_and_place() -> None:
    found = computed(
        piece("fuse", "a"), piece("fuse", "a", basis="law"), piece("fuse", "b"), piece("tap", "a"),
        piece("fuse", "c", verdict="within"), piece("fuse", "d", verdict="cannot be decided"),
    )  # fmt: skip
    assert [(one.key, len(one.evidence)) for one in found] == [
        (("fuse", "a"), 2),
        (("fuse", "b"), 1),
        (("tap", "a"), 1),
    ]
    assert found[0].says == (("a is unprotected",),)


@pytest.mark.parametrize(
    ("exposure", "level"),
    # read: MIL-STD-882E, Table III: critical with remote, occasional, probable.
    [("covered", "medium"), ("usual", "serious"), ("exposed", "high")],
)
def test_the_level_follows_item_and_exposure(exposure: Exposure, level: Level) -> None:
    assert computed(piece("fuse", "a", exposure=exposure))[0].level == level


def test_an_item_that_the_list_lacks_loses_nothing() -> None:
    assert computed(piece("unlisted", "a"))[0].level == "serious"


def test_one_defect_if_and_only_if_item_and_place_are_equal() -> None:
    eye = Eye("fuse", "a", "serious")
    (both,) = merge([eye], computed(piece("fuse", "a")))
    assert both.seen == (eye,)
    assert both.computed is not None
    for other in (
        Eye("fuse", "b", "serious"),
        Eye("tap", "a", "serious"),
        Eye("fuse", None, "serious"),
        Eye(None, "a", "serious"),
    ):
        apart = merge([other], computed(piece("fuse", "a")))
        assert [(len(one.seen), one.computed is not None) for one in apart] == [(1, False), (0, True)]


def test_two_seen_at_one_place_are_each_joined_with_what_was_computed() -> None:
    made = merge([Eye("fuse", "a", "medium"), Eye("fuse", "a", "high")], computed(piece("fuse", "a")))
    # The high one says what was computed, so the medium one beside it may stay.
    assert [(len(one.seen), one.level, one.raised) for one in made] == [
        (1, "medium", False),
        (1, "high", False),
    ]
    assert all(one.computed is not None for one in made)


def test_a_serious_one_cannot_be_lowered_in_silence() -> None:
    (both,) = merge([Eye("fuse", "a", "low")], computed(piece("fuse", "a")))
    assert (both.level, both.raised) == ("serious", True)


def test_a_reason_lowers_it_and_both_levels_stay() -> None:
    (both,) = merge([Eye("fuse", "a", "low", "the battery is gone")], computed(piece("fuse", "a")))
    assert (both.level, both.raised, both.disagree) == ("low", False, "the battery is gone")
    assert both.computed is not None
    assert both.computed.level == "serious"


def test_a_medium_one_may_be_lowered() -> None:
    (both,) = merge([Eye("fuse", "a", "low")], computed(piece("fuse", "a", exposure="covered")))
    assert (both.level, both.raised) == ("low", False)


def test_a_dropped_one_is_still_there_with_the_reason() -> None:
    (alone,) = merge([], computed(piece("fuse", "a")), [Dropped("fuse", "a", "measured again: 0.15 m")])
    assert (alone.level, alone.dropped, alone.disagree) == ("serious", True, "measured again: 0.15 m")


def test_a_disagreement_with_nothing_is_told() -> None:
    words = [Dropped("fuse", "a", "no"), Dropped("fuse", "z", "no")]
    assert unused(computed(piece("fuse", "a")), words) == (words[1],)


eyes = st.lists(
    st.builds(
        Eye,
        st.sampled_from(["fuse", "tap", None]),
        st.sampled_from(["a", "b", None]),
        st.sampled_from(LEVELS[:4]),
        st.sampled_from([None, "why"]),
    ),
    max_size=6,
)
pieces = st.lists(
    st.builds(
        piece,
        st.sampled_from(["fuse", "tap"]),
        st.sampled_from(["a", "b"]),
        exposure=st.sampled_from(["usual", "covered", "exposed"]),
    ),
    max_size=6,
)


@given(seen=eyes, found=pieces)
def test_nothing_is_lost_or_counted_twice(seen: list[Eye], found: list[Evidence]) -> None:
    grave = departures(found, item)
    made = merge(seen, grave)
    assert sorted(map(repr, (eye for one in made for eye in one.seen))) == sorted(map(repr, seen))
    assert {one.computed.key for one in made if one.computed is not None} == {one.key for one in grave}
    for grave_one in grave:  # one defect of each thing is as high as computed, unless somebody says why not
        mine = [one for one in made if one.computed is not None and one.computed.key == grave_one.key]
        if grave_one.level in ("high", "serious") and not any(one.disagree for one in mine):
            assert min(LEVELS.index(one.level) for one in mine) <= LEVELS.index(grave_one.level)


def test_a_device_stands_in_its_conductor_and_a_terminal_on_its_node(boat_network: Network) -> None:
    assert place(boat_network, "panel-feed.fuse") == "panel-feed"
    assert place(boat_network, "starter.neg") == "engine"
    assert place(boat_network, "start-pos") == "start-pos"
