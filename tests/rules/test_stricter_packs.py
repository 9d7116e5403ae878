"""A pack may ask for more and never for less: tried with every figure of the federal rules and every third duty.

At night with every duty.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES, some
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import read_as_text

from progdoc.core.diagnostics import Severity
from progdoc.core.resources import catalogue_root
from progdoc.model.description.quantities import Quantity
from progdoc.rules.judged.figure_results import Stricter
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with
from progdoc.rules.reading.stricter import implies
from progdoc.rules.requirement import Proof, Requirement

FEDERAL = built_in_catalogue()
DUTIES = some((r for r in FEDERAL.requirements if r.severity is Severity.REQUIRED), 3)
OFFICER = {"given": "officer.name"}


def written() -> dict[str, Mapping[str, Any]]:
    """Return every rule of the federal pack as its file has it."""
    folder = Path(str(catalogue_root())) / "us_federal"
    files = [read_as_text(file.read_text("utf-8")) for file in sorted(folder.glob("*.yaml"))]
    return {rule["code"]: rule for file in files if "requirements" in file for rule in file["requirements"]}


WRITTEN = written()


def laid_over(folder: Path, **lists: Any) -> tuple[Catalogue, dict[str, list[str]]]:
    """Return the federal rules with a pack over them, and what is refused in it, by the code or figure named."""
    about = {"source": "us-29cfr1910.134", "in_force": "2026-01-01"}
    (folder / "pack.yaml").write_text('pack: trial\nversion: "1"\n', encoding="utf-8")
    (folder / "rules.yaml").write_text(json.dumps(about | lists, indent=1), encoding="utf-8")  # YAML without anchors
    catalogue, faults = catalogue_with([folder])
    found: dict[str, list[str]] = {}
    for fault in faults:
        found.setdefault(fault.what.partition(":")[0], []).append(f"{fault.code} {fault.what}")
    return catalogue, found


def changed(folder: Path, change: Any) -> tuple[Catalogue, dict[str, list[str]]]:
    """Lay a pack over the federal rules that changes every duty; `change` makes the keys, None leaves a duty alone."""
    changes = [{"code": r.code} | keys for r in DUTIES if (keys := change(r)) is not None]
    return laid_over(folder, changes=changes)


def of(found: Mapping[str, list[str]], code: str) -> list[str]:
    return [words for words in found.get(code, ()) if words.startswith("PACK-007")]


def test_a_proof_swapped_for_a_name_and_a_softer_weight_are_refused_for_every_duty(tmp_path: Path) -> None:
    own = {r.code for r in DUTIES if r.proof == Proof("given", "officer.name")}
    soft = {"severity": "advice", "per": "program"}
    catalogue, found = changed(tmp_path, lambda r: soft if r.code in own else soft | {"proof": OFFICER})
    refused = {r.code: " ".join(of(found, r.code)) for r in DUTIES}
    assert [code for code, words in refused.items() if "softer than required" not in words] == []
    lost = ("nothing in the new proof shows", "is gone")
    assert [code for code, words in refused.items() if code not in own and not any(w in words for w in lost)] == []
    assert {r.code: r.proof for r in catalogue.requirements} == {r.code: r.proof for r in FEDERAL.requirements}


def test_a_softer_weight_cannot_be_declared(tmp_path: Path) -> None:
    _, found = laid_over(tmp_path, changes=[{"code": "STO-001", "severity": "advice", "differs": "It is their way."}])
    assert of(found, "STO-001")


def test_each_part_of_each_proof_is_missed(tmp_path: Path) -> None:
    """The first part alone, then all but the first: one of them at least lacks something of the earlier proof."""
    joined = [
        code for code, rule in WRITTEN.items() if isinstance(rule["proof"], list) and code in {r.code for r in DUTIES}
    ]
    assert len(joined) > (20 if TIMES > 1 else 6)
    for cut in (slice(0, 1), slice(1, None)):
        _, found = laid_over(
            tmp_path, changes=[{"code": code, "proof": WRITTEN[code]["proof"][cut]} for code in joined]
        )
        assert [code for code in joined if not of(found, code)] == []


def test_a_finding_of_the_choice_of_masks_keeps_all_its_grounds(tmp_path: Path) -> None:
    """What was found rests on several facts; a rule that rests on fewer would be met with less shown."""
    rests = {r.code: r.proof for r in DUTIES if r.proof.kind == "reason" and len(r.proof.grounds) > 1}
    assert len(rests) > (5 if TIMES > 1 else 1)
    fewer = [
        {"code": code, "proof": {"reason": proof.value, "rests_on": list(proof.grounds[1:])}}
        for code, proof in rests.items()
    ]
    _, found = laid_over(tmp_path, changes=fewer)
    assert [code for code in rests if not of(found, code)] == []


def test_a_condition_that_lets_somebody_off_is_refused_for_every_duty(tmp_path: Path) -> None:
    def narrower(duty: Requirement) -> dict[str, Any]:
        older = WRITTEN[duty.code].get("applies", [])
        more = "state-plan" if "voluntary-use-allowed" in str(older) else "voluntary-use-allowed"
        kept = [{"all": older}] if isinstance(older, list) and older else [older] if older else []
        return {"applies": {"all": [*kept, more]}}

    _, found = changed(tmp_path, lambda r: narrower(r) | {"differs": "The state lets them off."})  # no way around
    assert [r.code for r in DUTIES if not of(found, r.code)] == []


def joined(proof: Any) -> Any:
    return {"all": proof} if isinstance(proof, list) else proof


def test_a_rule_repeated_word_for_word_and_one_that_asks_for_more_pass(tmp_path: Path) -> None:
    _, found = changed(tmp_path, lambda r: {"proof": WRITTEN[r.code]["proof"]})
    assert found == {}
    for_more = {r.code: {"all": [joined(WRITTEN[r.code]["proof"]), OFFICER]} for r in DUTIES if r.per == "program"}
    _, found = changed(tmp_path, lambda r: {"proof": for_more[r.code]} if r.code in for_more else None)
    assert found == {}


def test_a_rule_that_binds_more_widely_passes(tmp_path: Path) -> None:
    wider = {
        code: {"any": [joined_facts(rule["applies"]), "state-plan"]}
        for code, rule in WRITTEN.items()
        if code in {r.code for r in DUTIES} and rule.get("applies")
    }
    _, found = laid_over(tmp_path, changes=[{"code": code, "applies": applies} for code, applies in wider.items()])
    assert found == {}


def joined_facts(applies: Any) -> Any:
    return {"all": applies} if isinstance(applies, list) else applies


@pytest.mark.parametrize("differs", ["", "The state asks for it in its own way."])
def test_every_figure_set_looser_is_refused(differs: str, tmp_path: Path) -> None:
    """Declaring a difference is no way around: figures can be compared."""
    looser = {value.id: by for value in FEDERAL.values if value.value is not None and (by := loosened(value))}
    assert len(looser) > 30
    extra = {"changes": [{"code": DUTIES[0].code, "differs": differs}]} if differs else {}
    figures = [{"id": name, "value": text, "citation": "(a)(1)"} for name, text in looser.items()]
    catalogue, found = laid_over(tmp_path, values=figures, **extra)
    assert [name for name in looser if not of(found, name)] == []
    assert catalogue.values == FEDERAL.values


def loosened(value: Any) -> str:
    """Return a figure that asks for less than one of the law."""
    figure = value.value
    if value.stricter in (Stricter.YES, Stricter.NO):
        return "no" if value.stricter is Stricter.YES else "yes"
    number = figure.value if isinstance(figure, Quantity) else figure
    number += abs(number) if value.stricter is Stricter.LOWER else -abs(number) / 2
    return f"{number:g} {figure.unit}" if isinstance(figure, Quantity) else f"{number:g}"


def test_what_cannot_be_compared_passes_where_it_is_declared_and_is_kept_with_its_reason(tmp_path: Path) -> None:
    swap = {"code": "STO-001", "proof": OFFICER}
    _, found = laid_over(tmp_path, changes=[swap])
    assert of(found, "STO-001")
    catalogue, found = laid_over(tmp_path, changes=[swap | {"differs": "The officer decides there."}])
    assert found == {}
    assert [r.differs for r in catalogue.requirements if r.code == "STO-001"] == ["", "The officer decides there."]
    for no_reason in ("x", "TBD", "n/a"):
        assert of(laid_over(tmp_path, changes=[swap | {"differs": no_reason}])[1], "STO-001"), no_reason


def test_no_declared_difference_takes_the_place_of_what_is_worked_out_or_looked_up(tmp_path: Path) -> None:
    """The choice of masks and the records of people: no custom of a place makes them hold."""
    looked_at = [r for r in DUTIES if any(part.kind in ("check", "reason") for part in r.proof.singles())]
    assert len(looked_at) > (150 if TIMES > 1 else 50)
    swap = {"proof": OFFICER, "per": "program", "differs": "The state asks for it in its own way."}
    _, found = changed(tmp_path, lambda r: swap if r in looked_at else None)
    lost = ("nothing in the new proof shows", "is gone")
    assert [r.code for r in looked_at if not any(w in " ".join(of(found, r.code)) for w in lost)] == []


@pytest.mark.parametrize(
    ("limit", "refused"),
    [
        ("365 days", False),
        ("52 weeks", False),
        ("1 year", False),
        ("400 days", True),
        ("53 weeks", True),
        ("13 months", True),
    ],
)
def test_days_and_months_are_compared(limit: str, refused: bool, tmp_path: Path) -> None:
    rule = {"code": "FIT-022", "proof": {"path": "procedures.fit_testing.interval", "at_most": limit}}
    _, found = laid_over(tmp_path, changes=[rule])
    assert bool(of(found, "FIT-022")) is refused
    figure = {"id": "fit-test-interval", "value": limit, "citation": "(f)(2)"}
    assert bool(of(laid_over(tmp_path, values=[figure])[1], "fit-test-interval")) is refused


def test_no_rule_lets_a_fact_of_the_site_be_adopted(tmp_path: Path) -> None:
    """A rule of its own code could state by adopting what the federal rules want to be said."""
    rule = {
        "code": "TRY-001",
        "name": "something-is-missing",
        "citation": "(i)(4)",
        "duty": "A duty.",
        "what": "A trouble.",
        "why": "A reason.",
        "fix": "A cure.",
        "example": "officer:\n  name: Jo Marsh",
    }
    sites = [
        (r.code, part.path)
        for r in DUTIES
        if r.adopting == () and r.per == "program"
        for part in r.proof.singles()
        if part.kind == "yes"
    ]
    assert len(sites) > (3 if TIMES > 1 else 1)
    for code, path in sites:
        _, found = laid_over(tmp_path, requirements=[rule | {"proof": {"yes": path}}])
        assert any(code in words for words in of(found, "TRY-001")), path
        _, found = laid_over(tmp_path, requirements=[rule | {"proof": {"yes": path}, "adopting": {}}])
        assert found == {}, path


# ---- what implies what, held against looking at every small description --------------------------------------

COVERED, INTERVAL, TOPICS = (
    "procedures.storage.covered",
    "procedures.fit_testing.interval",
    "procedures.training.topics",
)
STATED: dict[str, tuple[Any, ...]] = {
    COVERED: (None, True, False),
    INTERVAL: (None, 3, 6, 12, 24),
    TOPICS: (None, frozenset(), frozenset({"a"}), frozenset({"b"}), frozenset({"a", "b"})),
}
DESCRIPTIONS = [
    {COVERED: covered, INTERVAL: months, TOPICS: topics}
    for covered in STATED[COVERED]
    for months in STATED[INTERVAL]
    for topics in STATED[TOPICS]
]
SINGLES = [
    *(Proof(kind, COVERED) for kind in ("given", "yes", "no", "may_say")),
    Proof("given", INTERVAL),
    *(Proof(kind, INTERVAL, f"{n} months") for kind in ("at_most", "at_least") for n in (3, 6, 12, 24)),
    Proof("given", TOPICS),
    *(Proof("includes", TOPICS, wanted) for wanted in (("a",), ("b",), ("a", "b"))),
]
PROOFS = st.recursive(
    st.sampled_from(SINGLES),
    lambda inner: st.builds(
        lambda kind, parts: Proof(kind, parts=tuple(parts)),
        st.sampled_from(["all", "any"]),
        st.lists(inner, min_size=1, max_size=3),
    ),
    max_leaves=5,
)


def satisfied(proof: Proof, said: Mapping[str, Any]) -> bool:
    """Whether a description satisfies a proof, worked out without the engine."""
    if proof.kind in ("all", "any"):
        parts = [satisfied(part, said) for part in proof.parts]
        return all(parts) if proof.kind == "all" else any(parts)
    value = said[proof.path]
    if proof.kind == "may_say" or value is None:
        return proof.kind == "may_say"
    if proof.kind == "includes":
        return set(proof.value) <= value
    if proof.kind in ("at_most", "at_least"):
        months = int(proof.value.partition(" ")[0])
        return bool(value <= months if proof.kind == "at_most" else value >= months)
    return {"given": True, "yes": value is True, "no": value is False}[proof.kind]


@given(PROOFS, PROOFS)
def test_what_is_said_to_imply_another_does_so_in_every_description(new: Proof, old: Proof) -> None:
    if implies(new, old):
        assert all(satisfied(old, said) for said in DESCRIPTIONS if satisfied(new, said))


@given(PROOFS)
def test_a_proof_implies_itself_and_is_implied_by_itself_with_more(proof: Proof) -> None:
    assert implies(proof, proof)
    assert implies(Proof("all", parts=(Proof("given", "officer.name"), proof)), proof)
