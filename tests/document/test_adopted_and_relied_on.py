"""What adopting states is not listed as said and unused; data told in words stand in the table of what is relied on."""

from __future__ import annotations

from pathlib import Path

from programs.patching import judged, patched

from progdoc.document.blocks.filter_blocks import filter_blocks
from progdoc.document.blocks.unused_blocks import printed_words, unused_block


def test_what_adopting_states_is_not_called_said(tmp_path: Path) -> None:
    values = patched({"set": {"procedures.inspection": {"adopt": "(h)(3)"}}})
    adopted = judged(values, tmp_path)
    assert any(path.startswith("procedures.inspection.") for path in adopted.adopted)
    assert "scba" not in printed_words(unused_block(adopted, ()))
    values["procedures"]["inspection"] = {"scba_interval": "1 month"}
    assert "1 month" in printed_words(unused_block(judged(values, tmp_path), ()))


def test_data_in_words_are_among_what_is_relied_on(tmp_path: Path) -> None:
    plan = "procedures.filter_changes.schedules[0]"
    told = {f"{plan}.basis": "maker-data", f"{plan}.data": "Maker's sheet SL-7, 100 ppm, 8.2 h"}
    gone = [f"{plan}.sources", "filters[0].carbon"]
    found = judged(patched({"program": "varnishing", "set": told, "drop": gone}), tmp_path)
    blocks = filter_blocks(found)
    relied = printed_words(blocks["filter-data"])
    assert "maker's data: maker's sheet sl-7, 100 ppm, 8.2 h" in relied and "yes, as described" in relied
    assert "use the maker's service data" not in printed_words(blocks["filter-refusals"])
    habit = {**told, f"{plan}.basis": "habit"}
    found = judged(patched({"program": "varnishing", "set": habit, "drop": gone}), tmp_path)
    assert "yes, as described" not in printed_words(filter_blocks(found)["filter-data"])
