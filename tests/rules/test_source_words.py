"""Where a figure of a filter comes from can be looked up again; hearsay is asked about, in whatever words."""

from __future__ import annotations

from programs.patching import catalogue_of, checked_by, patched

from progdoc.model.description.fields import field_at
from progdoc.rules.lookup.source_words import names_a_source
from progdoc.rules.lookup.table_files import table_entries

# Our own sentences: common practice, no source.
HEARSAY = (
    "Somebody on a forum", "The salesman said so on the phone", "Rumour", "Kitchen scales", "We hope so", "own idea",
    "It says so somewhere", "Word of mouth", "As everybody knows", "From the pub",
)  # fmt: skip
HONEST = (
    "Approval label", "Lid of the carton", "Maker's sheet", "Hallam's letter of March 2026", "Leaflet in the box",
    "hallam, by phone", "Table of the works doctor", "Bench report", "Their software, printout in the folder",
    "Asked Ida Lund at the works", "On the lid", "User manual, page on storage", "SL-7",
)  # fmt: skip


def test_hearsay_names_no_source_and_honest_texts_do() -> None:
    assert [text for text in HEARSAY if names_a_source(text, {"hallam"})] == []
    assert [text for text in HONEST if not names_a_source(text, {"hallam"})] == []


def test_every_source_of_a_filters_figures_is_asked() -> None:
    places = [str(place) for place in table_entries("source_words", "asks_source")]
    assert all(field_at(place) is not None for place in places), places
    said = "Somebody on a forum"
    changed = {
        "filters[0].agents": ["lead"],
        "filters[0].agents_source": said,
        "filters[0].most_for": [{"agent": "lead", "most": "5 mg/m3", "source": said}],
        "filters[0].carbon": {"mass": "80 g", "source": said},
        "tasks[0].breathing": {"rate": "40 L/min", "source": said},
    }
    found = checked_by(catalogue_of({"TXT-022"}), patched({"set": changed})).report.findings
    assert len({one.location.path for one in found if one.code == "TXT-022"}) == 4
