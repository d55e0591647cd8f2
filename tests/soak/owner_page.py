"""The owner's page is one page on either paper for jobs of many sizes: `make soak`."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from render.test_owner_page import big, pages

from lugbook.render.first_fit import fits
from lugbook.render.page import Paper


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("defects", "long"), [(0, False), (1, False), (25, False), (150, False), (25, True)])
def test_one_page(defects: int, long: bool, paper: Paper, tmp_path: Path) -> None:
    view = big(tmp_path, defects, long=long)
    assert len(pages(view, paper, fits(view, paper)[0]).pages) == 1
