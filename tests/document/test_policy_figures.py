"""The figure of the firm is never printed where a policy asks for more, but beside what the policy asks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest
from examples import some
from programs.patching import AS_OF, checked_by, patched

from progdoc.app.build import build
from progdoc.rules.policy.policy_checks import parameters
from progdoc.rules.reading.catalogue import built_in_catalogue

# By parameter: the program that is changed, where the firm says its figure, that figure, and what the policy asks.
FIGURES = {
    "fit_test_interval": ("base", "procedures.fit_testing.interval", "11 months", "7 months"),
    "half_mask_pass": ("base", "procedures.fit_testing.half_mask_pass", "137", "239"),
    "full_facepiece_pass": ("base", "procedures.fit_testing.full_facepiece_pass", "737", "1939"),
    "training_interval": ("base", "procedures.training.interval", "11 months", "7 months"),
    "evaluation_interval": ("base", "procedures.evaluation.interval", "11 months", "7 months"),
    "emergency_inspection_interval": (
        "fire-fighting", "procedures.inspection.emergency_interval", "27 days", "13 days"
    ),
    "flow_test_interval": ("fire-fighting", "procedures.inspection.flow_test_interval", "11 months", "7 months"),
    "standby": ("crypt-with-airline", "procedures.emergencies.idlh.standby", "113", "127"),
    "carbon_monoxide": ("crypt-with-airline", "procedures.air_supply.carbon_monoxide", "3 ppm", "1.7 ppm"),
    "oil_in_air": ("crypt-with-airline", "procedures.air_supply.oil", "1.3 mg/m3", "0.17 mg/m3"),
    "recharge_at": ("crypt-with-airline", "procedures.inspection.recharge_at", "93 %", "97 %"),
    "cartridge_change": ("varnishing", "procedures.filter_changes.schedules[0].after", "2.7 h", "1.3 h"),
}  # fmt: skip
# The firm says these in other words than a figure.
NO_FIGURE = {"quantitative_only", "clean_shaven", "voluntary_use"}


@cache
def lines_of(field: str) -> tuple[tuple[str, str], ...]:
    """Return every line of the papers that people work by: the program, task pages, forms, cards."""
    return tuple(_printed_lines(*FIGURES[field][:3], field, FIGURES[field][3]))


def _printed_lines(program: str, path: str, firm: str, field: str, asks: str) -> Iterator[tuple[str, str]]:
    values = patched({**({} if program == "base" else {"program": program}), "set": {path: firm}})
    values["policies"] = [{"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", field: asks}]
    for name, content in build(checked_by(built_in_catalogue(), values), ("md", "html")).items():
        is_paper = name == "program.md" or name.partition("/")[0] in ("tasks", "forms", "handouts", "restricted")
        if not is_paper or "gaps" in name or not name.endswith((".md", ".html")):
            continue
        text = re.sub(r"<style.*?</style>", "", content.decode(), flags=re.S)
        for line in re.sub(r"<[^>]+>", " ", re.sub(r"</(?:tr|p|li|h[1-6]|dd)>", "\n", text)).splitlines():
            yield name, line


# On each change every fifth, at night all. Those whose words are looked at below are printed anyway.
NAMED = ["fit_test_interval", "training_interval", "cartridge_change"]
TRIED = list(dict.fromkeys((*NAMED, *some(FIGURES, 5))))


def holds(figure: str, line: str) -> bool:
    figure = f"{int(figure):,}" if figure.isdigit() else figure
    return bool(re.search(rf"(?<![\w.]){re.escape(figure.replace('m3', 'm³'))}(?![\w]|\.\d)", line))


def test_every_figure_that_the_firm_says_itself_is_here() -> None:
    rules = parameters(built_in_catalogue().law_on(AS_OF))
    assert {rule.policy for rule in rules if rule.program} <= set(FIGURES) | NO_FIGURE


@pytest.mark.parametrize("field", TRIED)
def test_no_paper_prints_the_looser_figure_alone(field: str) -> None:
    _, _, firm, asks = FIGURES[field]
    lines = lines_of(field)
    assert any(holds(asks, line) for _, line in lines)
    assert [(name, line) for name, line in lines if holds(firm, line) and not holds(asks, line)] == []


@pytest.mark.parametrize("field", NAMED)
def test_no_paper_prints_a_mark_of_a_programmer_around_a_policy(field: str) -> None:
    lines = lines_of(field)
    assert any("Northbridge Diocese" in line for _, line in lines)
    assert [(name, line) for name, line in lines if "`" in line] == []
