"""The sum beside a margin: what a pocket calculator makes of the figures in it is the margin, and they can be read."""

from __future__ import annotations

import re

from progdoc.core.numbers import number_text
from progdoc.core.worked import Input, Rounding
from progdoc.rules.masks.credit import _margin_words


def test_a_margin_is_followed_by_hand_from_figures_that_can_be_read() -> None:
    for apf in (10.0, 25.0, 50.0, 1000.0):
        for limit in (3.0, 7.0, 9.0, 15.0, 30.0, 60.0, 0.9, 11.0):
            for level in (0.1, 0.5, 1.0, 2.0, 4.0):
                ratio = level / limit
                words = str(_margin_words(Input("", apf, "", "", Rounding.DOWN), Input("", ratio, "", "", Rounding.UP)))
                top, below = (part.replace(",", "") for part in words.split(" ÷ "))
                printed = {number_text(float(top) / float(below), way) for way in ("down", "nearest")}
                assert number_text(apf / ratio, "down") in printed, words
                assert len(re.sub(r"[^1-9]", "", below.lstrip("0."))) <= 5, words
