"""A short part of the fuzzing campaign; the long one is tests/soak/fuzz.py.

No outside source: the claim is that nothing but Problems comes out, whatever goes in.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bundles
import campaign
import mutate
import pytest
import seeds
import targets
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from targets import Fuzz


@pytest.mark.parametrize(("kind", "count"), [("text", 120), ("tree", 50), ("picture", 250), ("bundle", 40)])
def test_spoilt_input_gives_problems_and_nothing_else(kind: str, count: int, tmp_path: Path) -> None:
    outcome = campaign.run(kind, range(1_000_000, 1_000_000 + count), tmp_path)
    assert [(number, trace) for _, number, trace, _ in outcome.broke] == []
    assert outcome.ended.total() == count
    assert len(outcome.ended) == 2, "some are refused and some are not, or the fuzzing tests nothing"
    assert outcome.memory < campaign.MEGABYTES or outcome.slowest < campaign.SECONDS


def test_unspoilt_seeds_are_reported(tmp_path: Path) -> None:
    """The fuzzing starts from what works."""
    fuzz = Fuzz(tmp_path)
    for tree in seeds.trees()[:-1:7]:
        assert fuzz.findings(seeds.dump(tree)) == "reported"


def test_unspoilt_archives_are_unpacked(tmp_path: Path) -> None:
    fuzz = Fuzz(tmp_path)
    for files in bundles.visits()[:3]:
        assert fuzz.bundle(bundles.sound(files)) == "unpacked"


def test_a_file_outside_the_target_would_be_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The watch over the disk sees what it is there for."""
    real = targets.unpack

    def careless(*words: Any, **more: Any) -> Any:
        (tmp_path / "stray").write_bytes(b"x")
        return real(*words, **more)

    fuzz = Fuzz(tmp_path)
    assert fuzz.bundle(b"") == "refused"
    monkeypatch.setattr(targets, "unpack", careless)
    with pytest.raises(AssertionError, match="stray"):
        fuzz.bundle(b"")


def test_the_same_number_gives_the_same_input() -> None:
    for kind in ("text", "tree", "picture", "bundle"):
        assert campaign.made(kind, 7) == campaign.made(kind, 7)
        assert campaign.made(kind, 7) != campaign.made(kind, 8)


WORDS = st.one_of(st.sampled_from(mutate.NASTY), st.text(st.characters(codec="utf-8"), max_size=30))
VALUES = st.recursive(
    WORDS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=3)),
    max_leaves=6,
)


@settings(max_examples=40, deadline=5000, derandomize=True, suppress_health_check=list(HealthCheck))
@given(
    key=st.sampled_from(["report", "results", "extra", "readings", "installation", "shore", "x"]),
    value=VALUES,
)
def test_any_value_under_any_key(key: str, value: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    fuzz = Fuzz(tmp_path_factory.mktemp("fuzz"))
    head = {"format": "lugbook-findings-1", "report": {"number": "R1"}}
    assert fuzz.findings(seeds.dump({**head, key: value})) in ("refused", "reported")
