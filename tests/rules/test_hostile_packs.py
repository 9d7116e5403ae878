"""Whatever a pack holds, it is refused at its place or judged by: nothing crashes, hangs or grows."""

from __future__ import annotations

import os
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from examples import TIMES
from programs.patching import AS_OF, PROGRAMS

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.load import Loaded
from progdoc.rules.evaluate import evaluate, findings
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.masks.selection import select
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.reading.conditions import OF_ONE_THING
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.reading.proof import PROOFS
from progdoc.rules.subjects import SUBJECTS

ABOUT = 'pack: trial\nversion: "1"\n'
RULE = {
    "code": "TRY-001",
    "name": "something-is-missing",
    "citation": "us-29cfr1910.134 (f)(2)",
    "in_force": "2020-01-01",
    "proof": {"given": "procedures.fit_testing.interval"},
    "duty": "A duty.",
    "what": "A trouble.",
    "why": "A reason.",
    "fix": "A cure.",
}


def pack_of(folder: Path, text: str) -> Path:
    (folder / "pack.yaml").write_text(ABOUT, encoding="utf-8")
    (folder / "rules.yaml").write_text(text, encoding="utf-8")
    return folder


def rules(*changes: dict[str, Any], kind: str = "requirements") -> str:
    return yaml.safe_dump({kind: [{**RULE, **change} for change in changes]}, sort_keys=False)


def found_in(folder: Path) -> list[tuple[str, str, str]]:
    return [(d.code, str(d.location).rpartition("/")[2], d.what) for d in catalogue_with([folder])[1]]


BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{new}: &{new} [{', '.join([f'*{old}'] * 9)}]\n" for old, new in zip("abcdefgh", "bcdefghi", strict=True)
)
TORN = [
    ("requirements:\n  - code: [TRY-001\n", "PACK-001", "rules.yaml:2:11", "bracket"),
    ("requirements: [\n" + "[" * 3000, "PACK-001", "rules.yaml:2:", "nested"),
    (BOMB, "PACK-004", "rules.yaml:1:4", "`&a` is an anchor"),
    ("requirements:\n  - {code: TRY-001, code: TRY-002}\n", "PACK-004", "rules.yaml:2:21", "`code` stands here and"),
    ("requirements:\n  - !!python/object:os.system {code: x}\n", "PACK-004", "rules.yaml:2:5", "is a tag"),
    ("requirements:\n  - <<: {code: x}\n", "PACK-004", "rules.yaml:2:5", "`<<`"),
    ("- code: TRY-001\n", "PACK-004", "rules.yaml:1:1", "begins with a list that has no name"),
    ("", "PACK-001", "rules.yaml", "holds no entries"),
    ("source: x\n---\nsource: y\n", "PACK-001", "rules.yaml:2:1", "second document"),
    ("source: \x07\n", "PACK-001", "rules.yaml:1:9", "U+0007"),
    ("x: [" + "y, " * 200_000 + "]\n", "PACK-001", "rules.yaml:1:", "over 100,000 values"),
    ("x: " + "y" * 6_000_000, "PACK-001", "rules.yaml", "over 5,000,000 bytes"),
]


@pytest.mark.parametrize(("text", "code", "place", "words"), TORN, ids=[words for *_, words in TORN])
def test_what_is_no_sound_yaml_is_refused_at_its_place(
    text: str, code: str, place: str, words: str, tmp_path: Path
) -> None:
    found = found_in(pack_of(tmp_path, text))
    assert [f for f in found if f[0] == code and f[1].startswith(place) and words in f[2]], found


def test_a_file_in_another_encoding_is_refused(tmp_path: Path) -> None:
    pack_of(tmp_path, "")
    (tmp_path / "rules.yaml").write_bytes("source: Straße\n".encode("cp1252"))
    [(code, place, what)] = found_in(tmp_path)
    assert (code, place) == ("PACK-001", "rules.yaml:1:13")
    assert "not UTF-8" in what


@pytest.mark.parametrize("name", ["rules.yaml", "pack.yaml"])
def test_a_pipe_is_never_opened(name: str, tmp_path: Path) -> None:
    pack_of(tmp_path, rules({}))
    (tmp_path / name).unlink()
    os.mkfifo(tmp_path / name)
    assert [code for code, _, _ in found_in(tmp_path)] == ["PACK-001"]


def test_links_that_lead_nowhere_and_names_too_long_are_refused(tmp_path: Path) -> None:
    pack_of(tmp_path, rules({}))
    (tmp_path / "more.yaml").symlink_to("nowhere.yaml")
    assert [code for code, _, _ in found_in(tmp_path)] == ["PACK-001"]
    assert [code for code, _, _ in found_in(tmp_path / ("x" * 5000))] == ["PACK-001"]


@pytest.mark.parametrize("key", ["what", "fix"])
@pytest.mark.parametrize(
    "text",
    ["{subject:>300000000}", "{subject.ids}", "{subject[0]}", "{subject!r}", "{0}", "{}", "{subject", "subject}",
     "{subject:{path}}", "{{subject}}", "{Subject}", "{subject-}"],
)  # fmt: skip
def test_a_placeholder_is_a_plain_name(key: str, text: str, tmp_path: Path) -> None:
    found = found_in(pack_of(tmp_path, rules({key: f"Trouble with {text}."})))
    assert [(code, what.partition(" is ")[2]) for code, _, what in found] == [
        ("PACK-004", "not a text with plain placeholders.")
    ]


WRONG = [
    ({"code": ["TRY-001"]}, "`code` holds a list, not one text."),
    ({"name": {"a": "b"}}, "`name` holds a group of keys, not one text."),
    ({"in_force": "2026-02-30"}, "`in_force: 2026-02-30` is not a day."),
    ({"until": "20261231"}, "`until: 20261231` is not a day."),
    ({"also": "(f)(1)"}, "`also: (f)(1)` is not a list."),
    ({"also": [["(f)(1)"]]}, "`also` holds a list, not one text."),
    ({"applies": {"some": ["in-use"]}}, "`applies` holds a group of keys, not a condition."),
    ({"applies": {"any": "in-use"}}, "`applies: in-use` is not a list."),
    ({"applies": {"any": []}}, "`applies` holds a list, not a list with entries."),
    ({"proof": "given"}, "`proof: given` is not a proof."),
    ({"proof": {"any": []}}, "`proof` holds a list, not a list with entries."),
    ({"proof": {"path": "officer.name", "at_most": ["1"]}}, "`proof` holds a list, not one text."),
    ({"proof": {"path": "officer.name", "one_of": "x"}}, "`proof: x` is not a list."),
    ({"proof": {"at_most": "officer.name"}}, "{at_most: officer.name} is no proof."),
    ({"proof": {"path": "officer.name", "given": "x"}}, "{path: officer.name, given: …} is no proof."),
    ({"proof": {"path": "officer.name", "at_most": "12"}}, "`officer.name` holds no number."),
    ({"proof": {"yes": "officer.name"}}, "`officer.name` holds no yes or no."),
    ({"proof": {"path": "officer.name", "includes": ["x"]}}, "`officer.name` holds one value, not a list."),
    ({"proof": {"given": "masks.sizes"}}, "`masks.sizes` leads to many values, or is not there in every description."),
    ({"proof": {"given": "people[0].name"}}, "the description has no `people[0].name`."),
    ({"proof": {"given": ".weight"}}, "the description has no `.weight`."),
    ({"proof": {"value": "fit-test-intervall"}}, "`fit-test-intervall` is no figure of the packs. Did you mean"),
    ({"what": "{fit-test-intervall}"}, "`fit-test-intervall` is no figure of the packs. Did you mean"),
    ({"proof": {"value": "least-oxygen"}}, "the description has no ``."),
    ({"figures": "fit-test-interval"}, "`figures: fit-test-interval` is not a list."),
    ({"proof": {"check": "cleared"}}, "cleared looks at each wearer, not at each program."),
    ({"applies": ["wears-spectacles"]}, "`wears-spectacles` is no fact of a program."),
]  # fmt: skip


@pytest.mark.parametrize(("change", "words"), WRONG, ids=[words for _, words in WRONG])
def test_a_value_of_the_wrong_type_is_refused(change: dict[str, Any], words: str, tmp_path: Path) -> None:
    found = found_in(pack_of(tmp_path, rules(change)))
    assert {code for code, _, _ in found} == {"PACK-004"}
    assert any(words in what for _, _, what in found), found
    assert all(":" in place for _, place, _ in found)


FIGURE = {
    "id": "fit-test-interval",
    "value": "6 months",
    "citation": "us-29cfr1910.134 (f)(2)",
    "in_force": "2020-01-01",
}
WRONG_FIGURES = [
    ({"value": ["6 months"]}, "`value` holds a list, not one text."),
    ({"value": "6 moons"}, "fit-test-interval: "),
    ({"id": "half-mask-pass", "value": "nan"}, "half-mask-pass: "),
    ({"id": "half-mask-pass", "value": "inf"}, "half-mask-pass: "),
    ({"in_force": "soon"}, "`in_force: soon` is not a day."),
    ({"measured": "perhaps"}, "`measured: perhaps` is not yes or no."),
    ({"stricter": "sideways"}, "fit-test-interval: "),
    ({"kind": "colour"}, "fit-test-interval: "),
]


@pytest.mark.parametrize(("change", "words"), WRONG_FIGURES, ids=[str(change) for change, _ in WRONG_FIGURES])
def test_a_figure_of_the_wrong_type_is_refused(change: dict[str, str], words: str, tmp_path: Path) -> None:
    found = found_in(pack_of(tmp_path, yaml.safe_dump({"values": [{**FIGURE, **change}]})))
    assert {code for code, _, _ in found} == {"PACK-004"}
    assert any(words in what for _, _, what in found), found


def test_a_rule_may_rest_on_a_figure(tmp_path: Path) -> None:
    pack_of(tmp_path, rules({"proof": {"value": "clean-shaven"}, "what": "{subject}: {fit-test-interval} are over."}))
    catalogue, faults = catalogue_with([tmp_path])
    assert [d.what for d in faults] == ["TRY-001: nobody sets the figure `clean-shaven` while the rule is in force."]
    pack_of(tmp_path, rules({"proof": {"value": "fit-test-interval"}, "what": "{subject}: over {fit-test-interval}."}))
    catalogue, faults = catalogue_with([tmp_path])
    assert not faults
    assert {r.what for r in catalogue.requirements if r.code == "TRY-001"} == {"{subject}: over 12 months."}


def test_values_of_wrong_types_elsewhere_are_refused(tmp_path: Path) -> None:
    pack_of(tmp_path, "source: [x]\nin_force: {a: b}\nrequirements: text\nchanges: [text]\nnot_for_the_program: [[]]\n")
    (tmp_path / "pack.yaml").write_text(
        "pack: [a]\nversion: {}\ntitle: [x]\nsources: [x, {id: [y]}]\n", encoding="utf-8"
    )
    found = found_in(tmp_path)
    assert {code for code, _, _ in found} == {"PACK-003", "PACK-004"}
    assert {place.partition(":")[0] for _, place, _ in found} == {"rules.yaml", "pack.yaml"}


# ---- rules that pass are judged by, whatever they join ----------------------------------------------------


def facts_of(loaded: Loaded) -> Facts:
    assert loaded.program is not None
    rules = rule_set(built_in_catalogue().law_on(AS_OF), loaded.program)
    return Facts(rules, loaded.locate, AS_OF, select(rules, AS_OF))


@pytest.fixture(scope="module")
def described() -> list[Facts]:
    files = [PROGRAMS / "base.yaml", PROGRAMS / "crypt-with-airline.yaml", PROGRAMS / "varnishing.yaml"]
    return [facts_of(load_path(file)) for file in files]


def judged(described: list[Facts], catalogue: Catalogue) -> Iterator[Diagnostic]:
    ours = [requirement for requirement in catalogue.in_force(AS_OF) if requirement.pack.name == "trial"]
    for facts in described:
        yield from findings(facts, evaluate(facts, ours))


def test_every_fact_can_be_asked_of_every_kind_of_thing_it_is_not_kept_from(described: list[Facts]) -> None:
    for facts in described:
        for kind, make in SUBJECTS.items():
            for subject in make(facts):
                for name, predicate in PREDICATES.items():
                    if OF_ONE_THING.get(name, kind) == kind:
                        assert predicate(facts, subject).holds in (True, False, None)
    units = [subject for facts in described for subject in SUBJECTS["unit"](facts)]
    assert units  # the loop above met each kind


def some_rule(draw: random.Random) -> dict[str, Any]:
    """Return a rule whose parts are drawn from what is known and, now and then, from what is not."""
    per = draw.choice(list(SUBJECTS))
    paths = ["procedures.fit_testing.interval", "procedures.storage.covered", "officer.name", "masks", "format"]
    paths += [".name", ".weight", ".exposure", ".exposure.row", ".fit_tests", ".masks", ".sizes", ".spectacles"]
    paths += ["people[].name", ".masks.sizes", ".units[0].serial", ".", "", "a b"] if draw.random() < 0.2 else []
    value = draw.choice(["12 months", "5", "yes", "half-mask", "-1e400", "nan", "6 ppm", "", "x"])
    path, kind = draw.choice(paths), draw.choice(list(PROOFS))
    single: list[Any] = [
        {kind: path},
        {"path": path, kind: [value] if kind in ("includes", "one_of") else value},
        {"check": draw.choice(list(CHECKS))},
        {"reason": "selection"},
    ]
    proof = draw.choice([draw.choice(single), {"given": ".id"}, {"any": [single[0], {"given": "officer.name"}]}])
    facts = draw.sample([name for name in PREDICATES if OF_ONE_THING.get(name, per) == per], 2)
    return {
        "proof": proof,
        "per": per,
        "applies": draw.choice([facts, {"any": facts}, {"not": facts[0]}, []]),
        "what": draw.choice(["A trouble.", "{subject} at {path}.", "{wearer}"]),
    }


def test_any_rule_is_either_refused_or_judged_by(described: list[Facts], tmp_path: Path) -> None:
    draw = random.Random(134)
    refused = passed = 0
    for _ in range(16 if TIMES > 1 else 6):
        drawn = [{**some_rule(draw), "code": f"TRY-{number:03}"} for number in range(20)]
        drawn += [{**some_rule(draw), "code": code} for code in ("FIT-002", "MED-001", "SEL-012")]
        catalogue, faults = catalogue_with([pack_of(tmp_path, rules(*drawn))])
        assert all(d.code.startswith("PACK-") and d.location.line and d.fix for d in faults)
        ours = sum(requirement.pack.name == "trial" for requirement in catalogue.requirements)
        refused, passed = refused + len(drawn) - ours, passed + ours
        assert all(d.what and d.fix for d in judged(described, catalogue))
    assert refused > (50 if TIMES > 1 else 20)
    assert passed > (50 if TIMES > 1 else 20)


def test_a_blank_is_refused_at_every_place_of_a_pack(tmp_path: Path) -> None:
    """Of a rule, a change of one, a figure and a limit; those that have to be there as well as the others."""
    change = {"code": "FIT-022", "in_force": "2026-01-01", "citation": "us-29cfr1910.134 (f)(2)", "fix": "A cure."}
    figure = {"id": "fit-test-interval", "value": "6 months", "citation": "us-29cfr1910.134 (f)(2)"}
    limit = {"agent": "lead", "kind": "TWA", "value": "10 ug/m3", "citation": "us-29cfr1910.134 (f)(2)"}
    kinds = {"requirements": RULE, "changes": change, "values": figure, "limits": limit}
    taken = []
    for kind, entry in kinds.items():
        for key in entry:
            for blank in ("", "  "):
                text = yaml.safe_dump({"in_force": "2020-01-01", kind: [{**entry, key: blank}]}, sort_keys=False)
                if not found_in(pack_of(tmp_path, text)):
                    taken.append((kind, key, blank))
    assert taken == []
