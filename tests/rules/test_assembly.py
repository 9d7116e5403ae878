"""A filter on a mask it was never approved with protects nobody, whatever fits; and what is lawful stays quiet.

Which class belongs to which kind of mask is the published part; makers and numbers are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from programs.patching import catalogue_of, judged_by, patched
from published_value import published

from progdoc.model.description.masks import Mode, Particulate

GREY, BLOWER = ("masks[0]", "filters[0]", "half-mask"), ("masks[1]", "filters[1]", "powered-mask")
CODES = ("FLT-023", "FLT-024", "FLT-025")


def against(folder: Path, mask: str, **changes: Any) -> tuple[set[str], bool]:
    """Return the findings about the assembly in the task, and whether the mask is called good there."""
    found = judged_by(catalogue_of(CODES), patched({"set": changes}), folder)
    named = {d.code for d in found.findings if d.code in CODES and f"masks.{mask}" in d.subject}
    return named, found.selection.masks["scrape-sashes", mask].is_adequate


@published("42 CFR 84.170(a), classes of masks without a blower; 29 CFR 1910.134(b), HEPA")
@pytest.mark.parametrize("particulate", list(Particulate))
@pytest.mark.parametrize("place", [GREY, BLOWER])
def test_each_class_belongs_to_one_kind_of_mask(
    place: tuple[str, str, str], particulate: Particulate, tmp_path: Path
) -> None:
    _, part, mask = place
    named, is_good = against(tmp_path, mask, **{f"{part}.particulate": particulate.value})
    suits = (particulate is Particulate.HEPA) is (mask == "powered-mask")
    assert ("FLT-023" in named) is not suits
    assert suits or not is_good


@pytest.mark.parametrize(
    ("number", "mode"),
    [
        ("TC-21C-0000", Mode.AIR_PURIFYING),
        ("TC-84A-0000", Mode.POWERED),
    ],
)
def test_the_number_of_a_filter_is_one_of_such_masks(number: str, mode: Mode, tmp_path: Path) -> None:
    (_, part, mask) = GREY if mode is Mode.AIR_PURIFYING else BLOWER
    assert against(tmp_path, mask, **{f"{part}.approval": number}) == ({"FLT-023"}, False)


@pytest.mark.parametrize("number", ["TC-23C-0000", "TC-14G-0000"])
@pytest.mark.parametrize("place", [GREY, BLOWER])
def test_cartridges_with_a_filter_serve_both(place: tuple[str, str, str], number: str, tmp_path: Path) -> None:
    assert against(tmp_path, place[2], **{f"{place[1]}.approval": number}) == (set(), True)


@pytest.mark.parametrize("make", ["Pellin", "Hallam Copy", "Osterby"])
def test_another_maker_is_asked_for_the_label(make: str, tmp_path: Path) -> None:
    assert against(tmp_path, "half-mask", **{"filters[0].make": make}) == ({"FLT-024"}, False)
    said = {"filters[0].make": make, "masks[0].filters_on_label": "yes"}
    assert against(tmp_path, "half-mask", **said) == (set(), True)
    denied = {"filters[0].make": make, "masks[0].filters_on_label": "no"}
    assert against(tmp_path, "half-mask", **denied) == ({"FLT-024"}, False)


def test_a_filter_that_hangs_on_another_mask_is_no_matter_of_this_one(tmp_path: Path) -> None:
    assert against(tmp_path, "powered-mask", **{"filters[0].make": "Pellin"}) == (set(), True)
