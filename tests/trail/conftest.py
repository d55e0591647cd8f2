"""One job with a whole trail, made once; tests that change something work on a copy."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from trail_jobs import Story, full_story, make_job, make_key

CLOCK = "1798761600"
"""1 January 2027: after every day of the stories, whatever the clock of the machine says."""


@pytest.fixture(autouse=True)
def afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the stories record has happened."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", CLOCK)


@pytest.fixture(scope="session")
def story(tmp_path_factory: pytest.TempPathFactory) -> Story:
    folder = tmp_path_factory.mktemp("story")
    key, signers = make_key(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", CLOCK)
        made = full_story(folder / "trial", key)
    return Story(made, key, signers)


@pytest.fixture
def copied(story: Story, tmp_path: Path) -> Story:
    """The same, to be changed."""
    return Story(shutil.copytree(story.job, tmp_path / "trial"), story.key, story.signers)


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    """A finished job without a trail."""
    return make_job(tmp_path / "fresh" / "trial")
