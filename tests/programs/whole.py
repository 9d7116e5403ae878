"""The samples and the whole programs of the suite, each judged and printed once for all the tests that only read."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from programs.patching import AS_OF, PROGRAMS

from progdoc.app.disk.description_files import load_path
from progdoc.document.papers.written_program import WrittenProgram, written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue

__all__ = ["OF_THE_SUITE", "SAMPLES", "WHOLE", "judged_whole", "written_whole"]

SAMPLES = ("first_draft", "people_table", "restoration_2025", "restoration_2026", "small_shop")
OF_THE_SUITE = tuple(file.stem for file in sorted(PROGRAMS.glob("*.yaml")))
WHOLE: dict[str, tuple[Path, date]] = {
    **{name: (PROGRAMS.parents[1] / "sample_config" / name, date(2026, 11, 24)) for name in SAMPLES},
    **{name: (PROGRAMS / f"{name}.yaml", AS_OF) for name in OF_THE_SUITE},
}


@cache
def judged_whole(name: str) -> Judged:
    """Return what is judged of a sample or of a program of the suite, on the day it is made for. It is shared."""
    path, day = WHOLE[name]
    loaded = load_path(path)
    assert not loaded.diagnostics, loaded.diagnostics
    return judge(loaded, built_in_catalogue(), day)


@cache
def written_whole(name: str) -> WrittenProgram:
    """Return the program and the annex that are printed of it. They are shared."""
    return written_program(judged_whole(name), shipped_templates())
