"""Every printed line of a calculation, done again from its printed digits: it comes to the printed result.

The evaluator is a calculator of our own with decimal numbers (`pocket_calculator.py`); it reads what a reader reads.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest
from document.pocket_calculator import number, rounded, worked_out
from document.reading import of_type, words
from examples import TIMES, examples
from hypothesis import given
from hypothesis import strategies as st
from programs.generated import Generated, programs
from programs.patching import PROGRAMS, catalogue_of, patched, patches, read_as_text, written
from programs.whole import SAMPLES, WHOLE, judged_whole, written_whole
from published_value import published
from rules.workplaces import air_of

from progdoc.app.check import check
from progdoc.core.worked import Worked
from progdoc.document.blocks.annex_blocks import worked_figures
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.written_program import WrittenProgram, written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Document, Formula, Paragraph, Section, Table
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue

AS_OF = date(2026, 6, 1)
_SUM = re.compile(r"(?P<sum>[0-9(][^:;]*? ÷ [0-9,.]+ min(?: of work)?) = (?P<result>[^;]+?), rounded (?P<way>up|down)")
_MEANS = re.compile(r"(\S+) (\S+) over (\S+) (min|h), all of it in (\S+) (min|h) of work, means (\S+) ")
_CAPS = ("IDLH", "cartridge limit", "saturation")
_UNITS = re.compile(r" (?:min|h|ppm|µg/m³|mg/m³)(?: of work)?(?=[ )]|$)")


def cells(table: Table) -> Iterator[list[str]]:
    for row in table.rows:
        yield ["".join(child.text for child in cell.children) for cell in row.cells]


def done_again(document: Document) -> list[str]:
    """Return every line that does not come to what is printed; an empty list is a page that can be followed."""
    wrong: list[str] = []
    for section in of_type(document.blocks, Section):
        if section.id.startswith("calculations.") and any(isinstance(b, Formula) for b in section.blocks):
            in_rows = any(isinstance(b, Table) and b.id.endswith(".rows") for b in section.blocks)
            wrong += _rows(section) if in_rows else _calculation(section)
    for table in of_type(document.blocks, Table):
        if table.id == "filter-estimates.all":
            wrong += [line for row in cells(table) for line in _estimate(row)]
    for paragraph in of_type(document.blocks, Paragraph):
        wrong += _sums(words(paragraph))
    for formula in of_type(document.blocks, Formula):
        if formula.id.startswith("fit."):
            wrong += _fit_factor(formula.text)
    return wrong


def _calculation(section: Section) -> Iterator[str]:
    table = next(block for block in section.blocks if isinstance(block, Table))
    lines = next(block for block in section.blocks if isinstance(block, Formula)).text.split("\n")
    inputs = {name.partition(",")[0]: number(value) for name, value, _ in cells(table)}
    formulas, result = lines[:-1], lines[-1]
    printed, _, way = result.removeprefix("= ").partition(", rounded ")
    (name, _, expression), *steps = [line.partition(" = ") for line in formulas]
    found = _over_all(name, expression, inputs)
    if rounded(found, way) != number(printed):
        yield f"{section.title}: {expression} comes to {found:.6f}, printed {printed}"
    for step, _, expression in steps:
        value = worked_out(expression, inputs)
        digits = max(len(inputs[step].normalize().as_tuple().digits), 3)
        if inputs[step] not in {rounded(value, side, digits) for side in ("up", "down")}:
            yield f"{section.title}: {step} = {expression} comes to {value}, printed {inputs[step]}"


def _rows(section: Section) -> Iterator[str]:
    """Do every row of figures of one formula again, from the inputs that stand in it."""
    formula = next(block for block in section.blocks if isinstance(block, Formula)).text
    table = next(block for block in section.blocks if isinstance(block, Table))
    name, _, expression = formula.partition(" = ")
    _, _, *titles, result, _ = [column.title for column in table.columns]
    way = result.partition(", rounded ")[2]
    for row in cells(table):
        _, _, *given, printed, _ = row
        together = titles == ["Worked with"]
        pairs = [one.rsplit(": ", 1) for one in given[0].split("; ")] if together else zip(titles, given, strict=True)
        inputs = {title: number(value) for title, value in pairs if value != "–"}
        found = _over_all(name, expression, inputs)
        if rounded(found, way) != number(printed):
            yield f"{' | '.join(row)}: {expression} comes to {found:.6f}"


def _over_all(name: str, expression: str, inputs: dict[str, Decimal]) -> Decimal:
    if name == "mixture sum Em":  # a sum over as many hazard ratios as there are
        return sum(inputs.values(), Decimal())
    product, _, caps = expression.partition(", no more than ")
    value = worked_out(product, inputs)
    return (
        min([value, *(v for n, v in inputs.items() if n in ("IDLH", "cartridge limit", "saturation"))])
        if caps
        else value
    )


def _estimate(row: list[str]) -> Iterator[str]:
    _, held, lost, factors, life, _ = row
    value = worked_out(f"({number(held)} − {number(lost)}) {factors}", {})
    if rounded(value, "down") != number(life):
        yield f"{' | '.join(row)}: comes to {value}"


def _sums(text: str) -> Iterator[str]:
    for found in _SUM.finditer(text):
        value = worked_out(_UNITS.sub("", found["sum"]), {})
        if rounded(value, found["way"]) != number(found["result"]):
            yield f"{found[0]}: comes to {value}"
    for level, _, time, unit, work, work_unit, means in _MEANS.findall(text):
        minutes = {"min": 1, "h": 60}
        value = number(level) * number(time) * minutes[unit] / (number(work) * minutes[work_unit])
        if rounded(value, "up") != number(means):
            yield f"{text}: comes to {value}"


def _fit_factor(text: str) -> Iterator[str]:
    _, expression, result, *_ = text.partition(": ")[2].split(" = ")
    value = worked_out(expression, {})
    if rounded(value, "down") != number(result):
        yield f"{text}: comes to {value}"


def documents(judged: Judged, written: WrittenProgram | None = None) -> list[Document]:
    both = written or written_program(judged, shipped_templates())
    return [both.program, both.annex, annex_document(judged)]


def lines_in(found: list[Document]) -> tuple[int, list[str]]:
    return sum(len(of_type(one.blocks, Formula)) for one in found), [line for one in found for line in done_again(one)]


# ---- the calculator itself ----------------------------------------------------------------------------


@published("29 CFR 1910.1000(d)(1)(ii) and (d)(2)(ii), worked examples: 81.25 ppm and 0.925")
def test_the_calculator_comes_to_the_laws_own_examples() -> None:
    assert worked_out("(2 × 150 + 2 × 75 + 4 × 50) ÷ 8", {}) == Decimal("81.25")
    assert worked_out("C ÷ L + 45 ÷ 200 + 40 ÷ 200", {"C": Decimal(500), "L": Decimal(1000)}) == Decimal("0.925")


def test_the_calculator_notices_a_wrong_digit() -> None:
    assert list(_sums("8 × 60 min ÷ 480 min = 1 ppm, rounded up")) == []
    assert list(_sums("8 × 61 min ÷ 480 min = 1.01 ppm, rounded up")) != []
    assert list(_sums("90 ppm over 8 h, all of it in 3 h of work, means 241 ppm ")) != []
    assert list(_sums("90 ppm over 8 h, all of it in 3 h of work, means 240 ppm ")) == []


# ---- every program ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", WHOLE)
def test_every_line_of_a_whole_program_can_be_done_again(name: str) -> None:
    count, wrong = lines_in(documents(judged_whole(name), written_whole(name)))
    assert wrong == []
    assert count or name not in SAMPLES or name == "first_draft"


def test_every_line_of_the_patched_programs_can_be_done_again() -> None:
    """Of programs with the same figures, which no duty changes, one is printed; on each change some, at night all."""
    about = ("EXP-", "SEL-", "FLT-")
    every = [written(patched(entry)) for code, entry in patches() if code.startswith(about)]
    entries = dict.fromkeys(every if TIMES > 1 else every[::54])
    seen: set[tuple[Worked, ...]] = set()
    wrong: list[str] = []
    for text in entries:
        loaded = load({"program.yaml": text.encode()})
        without_duties = check(loaded, AS_OF, catalogue_of((), loaded.program)).judged
        if without_duties is None or (figures := worked_figures(without_duties)) in seen:
            continue
        seen.add(figures)
        judged = check(loaded, AS_OF, built_in_catalogue()).judged
        assert judged is not None and worked_figures(judged) == figures
        wrong += [line for one in documents(judged) for line in done_again(one)]
    assert wrong == []
    assert len(seen) > (50 if TIMES > 1 else 2)


def test_what_a_life_was_worked_with_stands_in_the_annex() -> None:
    values = read_as_text((PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8"))
    values["filters"][0]["service_data"] = [
        {"kind": "maker-data", "agents": ["toluene"], "concentration": "250 ppm", "life": "5 h", "source": "Sheet SL-7"}
    ]
    judged = check(load({"program.yaml": written(values).encode()}), AS_OF, built_in_catalogue()).judged
    assert judged is not None
    annex = written_program(judged, shipped_templates()).annex
    tables = {table.id: table for table in of_type(annex, Table)}
    told = {name: (life, inputs) for name, life, inputs in cells(tables["filter-inputs.all"])}
    assert len(told) == 2
    life, inputs = told["Estimated service life of “black cartridge” in “Varnishing”"]
    assert life == "242 min"
    for amount in ("300 ppm", "40 L/min", "25 °C", "50 %", "101.3 kPa", "70 g"):
        assert f": {amount}" in inputs, amount
    life, inputs = told["Service life of Sheet SL-7, carried over to “Varnishing”"]
    assert life == "250 min"
    assert "service life found: 300 min; humidity: 1; heat: 1; concentration in the test: 250 ppm" in inputs


@examples(15)
@given(programs())
def test_every_line_of_any_program_can_be_done_again(program: Generated) -> None:
    assert lines_in(documents(program.judged()))[1] == []


LEVELS = st.floats(0.001, 4000.0).map(lambda level: f"{level:.6g} ppm")
MINUTES = st.floats(5.0, 470.0).map(lambda minutes: round(minutes, 1))


@examples(60)
@given(st.lists(st.tuples(LEVELS, MINUTES), min_size=1, max_size=3), MINUTES, st.sampled_from(["zero", "same"]))
def test_every_sum_over_samples_can_be_done_again(found: list[tuple[str, float]], work: float, rest: str) -> None:
    whole = sum(minutes for _, minutes in found)
    if whole > 1400.0:
        return
    taken = [
        {
            "concentration": level,
            "duration": f"{minutes} min",
            "rest_of_shift": rest,
            "shift": "one",
            "date": "2026-05-01",
        }
        for level, minutes in found
    ]
    hazard = {"agent": "toluene", "form": "vapour", "exposure": {"kind": "samples", "results": taken}}
    agent = air_of([hazard], task={"industry": "general", "duration": f"{work} min"}).agents[0]
    told = [agent.derived, agent.load_derived, *(note for ratio in agent.ratios for note in ratio.worked.notes)]
    assert [line for text in told for line in _sums(f"{text} ")] == []
