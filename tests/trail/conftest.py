"""One job with a whole trail, made once; tests that change something work on a copy."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from trail_jobs import Story, full_story, make_job, make_key


@pytest.fixture(scope="session")
def story(tmp_path_factory: pytest.TempPathFactory) -> Story:
    folder = tmp_path_factory.mktemp("story")
    key, signers = make_key(folder)
    return Story(full_story(folder / "trial", key), key, signers)


@pytest.fixture
def copied(story: Story, tmp_path: Path) -> Story:
    """The same, to be changed."""
    return Story(shutil.copytree(story.job, tmp_path / "trial"), story.key, story.signers)


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    """A finished job without a trail."""
    return make_job(tmp_path / "fresh" / "trial")
