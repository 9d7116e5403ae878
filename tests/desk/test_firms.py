"""Firms of every kind come from nothing to no required gap in an evening: few answers, and nothing asked twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from desk.story import FIRMS, missing, way_through
from desk.test_whole_way import MOST_ANSWERS


@pytest.mark.parametrize("firm", FIRMS["firms"])
def test_two_tasks_and_four_people_take_an_evening(firm: str, tmp_path: Path) -> None:
    way, browser = way_through(firm, tmp_path / "firm", MOST_ANSWERS + 1)
    assert len(way.asked) <= MOST_ANSWERS, "\n".join(way.asked)
    assert missing(browser) == []
    assert way.twice == []
    assert way.bare == []
