"""Cards and labels: what stands on them is what the other papers say, and a reader that is not ours reads their codes.

The codes are read by zxing-cpp off what Chromium shows of the page (ISO/IEC 18004).
"""

from __future__ import annotations

import copy
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser
from programs.patching import BASE, judged
from programs.whole import judged_whole

from progdoc.core.numbers import long_date
from progdoc.document.papers.labels import Label, LabelKind, labels_of
from progdoc.writers.label_sheet import label_sheet


def _read(labels: list[Label], browser: Browser) -> list[str]:
    import zxingcpp

    page = browser.new_page(viewport={"width": 1000, "height": 900})
    page.set_content(label_sheet(labels, "Lime & Sash", "A4", False).decode())
    shown = Image.open(BytesIO(page.screenshot(full_page=True)))
    page.close()
    return sorted(code.text for code in zxingcpp.read_barcodes(shown))


def test_every_code_reads_as_the_words_beside_it_and_leads_nowhere(browser: Browser) -> None:
    labels = list(labels_of(judged_whole("restoration_2026")))
    texts = _read(labels, browser)
    assert texts == sorted(label.plain_text for label in labels)
    assert not [text for text in texts if "://" in text]


def test_signs_of_any_language_are_in_the_code_and_none_of_them_is_markup(browser: Browser) -> None:
    label = Label(LabelKind.BOX, 'box."<b>', "Íñigo <b>Łoś</b> & Søn", ("½ mask – size “M”",), ("Cleaned on",))
    assert _read([label], browser) == [label.plain_text]
    page = label_sheet([label], "<script>x</script>", "Letter", True)
    assert b"<b>" not in page and b"<script" not in page
    assert b"DRAFT" in page


def test_a_card_tells_the_days_of_the_list_and_what_nobody_may_start(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    values["people"][0]["fit_tests"] = []
    found = judged(values, tmp_path)
    cards = {label.id: label for label in labels_of(found)}
    barred, other = (cards[f"carry.{person['id']}"] for person in values["people"])
    assert barred.lines[0] == "May not start: Scraping sash windows"
    assert any(line.endswith("next fit test at once") for line in barred.lines)
    due = {item.id: item.due for item in found.due(365).items}
    second = values["people"][1]
    day = due[f"fit-test.{second['id']}.{second['masks'][0]['mask']}"]
    assert day is not None
    assert any(line.endswith(f"next fit test by {long_date(day)}") for line in other.lines)
    assert not any("May not start" in line for line in other.lines)


def test_a_mask_that_was_withdrawn_is_not_offered_from_the_shelf(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    values["masks"][0]["withdrawn"] = {"since": "2026-11-01", "because": "Recalled by the maker"}
    shelf = next(label for label in labels_of(judged(values, tmp_path)) if label.kind is LabelKind.SHELF)
    assert shelf.lines == ("Out of use since 1 November 2026: not to be handed out",)
