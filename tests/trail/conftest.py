"""One job with a whole trail, made once; tests that change something work on a copy."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest
from trail_jobs import full_story, make_job, make_key


@dataclass(frozen=True)
class Story:
    """The job, the signing key and the list of signers."""

    job: Path
    key: Path
    signers: Path

    @property
    def first(self) -> Path:
        """The first revision."""
        return self.job / "issued" / "T-7-2026-r1"

    @property
    def second(self) -> Path:
        """The second revision."""
        return self.job / "issued" / "T-7-2026-r2"


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
    return make_job(tmp_path / "trial")
