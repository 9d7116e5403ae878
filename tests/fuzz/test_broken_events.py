"""Whatever is told of what happened, on the command line or in a table: entered and read back, or refused in words.

Few examples on each change; many at night (`tests/nightly.sh`).
"""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from examples import examples
from fuzz.broken import HEALTH, broken_events, broken_tables
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import PROGRAMS

from progdoc.app.check import Checked, check
from progdoc.app.event_kinds import KINDS
from progdoc.app.record import Recorded, record
from progdoc.app.record_events import Event
from progdoc.app.recorded_lines import recorded_lines
from progdoc.app.recorded_table import Row, events_of, rows_in
from progdoc.cli.terminal import laid_out
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.load import Loaded, load

DAY = date(2026, 11, 24)
TABLE = b"people: {csv: people.csv}\n"
ROWS = """\
who,mask,size,protocol,result,tester,date
jo-marsh,half-mask,M,bitter-aerosol,pass,Ada Brook,2026-11-20
Jo Marsh,half-mask,S,bitter-aerosol,fail,Ada Brook,2026-11-21
"""


def _judged(loaded: Loaded) -> Checked:
    return check(loaded, DAY)


@cache
def _known(name: str) -> Checked:
    """Return a program of the suite; or one whose people stand in a table."""
    if name != "table":
        return _judged(load({"program.yaml": (PROGRAMS / f"{name}.yaml").read_bytes()}, "shop"))
    folder = Path("sample_config/people_table")
    files = {file.name: file.read_bytes() for file in folder.iterdir() if file.suffix in (".yaml", ".csv")}
    return _judged(load(files, "shop"))


def _hold(name: str, told: list[Event], kind: str) -> None:
    checked = _known(name)
    assert checked.judged is not None
    done = record(checked, told, DAY, _judged)
    if isinstance(done, Recorded):
        assert laid_out(recorded_lines(done, kind), 80)
        assert load(done.after, "shop").program is not None or len(done.after) < len(checked.loaded.files)
        assert all(data.count(b"\0") == 0 for data in done.after.values())
        return
    assert done and all(isinstance(fault, Diagnostic) and fault.what and fault.fix for fault in done)


@examples(60)
@given(name=st.sampled_from(("base", "fire-brigade", "campus-with-groups", "table")), data=st.data())
def test_broken_events(name: str, data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(KINDS)))
    happened = data.draw(st.lists(st.tuples(st.dates(), broken_events(*KINDS[kind][1:3])), min_size=1, max_size=3))
    _hold(name, [Event(kind, min(day, DAY) if day.year > 1999 else DAY, values) for day, values in happened], kind)


@examples(60)
@given(table=broken_tables(ROWS), kind=st.sampled_from(["fit-test", "fit-test", "fit-test", "training", "medical"]))
def test_a_broken_table_of_events(table: bytes, kind: str) -> None:
    rows = rows_in(table, "day.csv", kind)
    read = [one for one in rows if isinstance(one, Row)]
    told = rows if len(read) < len(rows) else events_of(read, "day.csv", kind, DAY, {"tester": "Ada Brook"})
    faults = [one for one in told if isinstance(one, Diagnostic)]
    assert not any(HEALTH in f"{fault.what} {fault.fix}" for fault in faults)
    assert all(fault.code == "RECORD-006" and fault.what and fault.fix for fault in faults)
    if not faults:
        _hold("base", [one for one in told if isinstance(one, Event)], kind)
