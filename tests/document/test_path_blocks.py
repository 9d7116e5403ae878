"""Where somebody stands on the way to a mask: what is open is what falls due, in the order in which the law wants it.

29 CFR 1910.134(e)(1): clearance before the fit test; (f)(2), (k)(3): fit test and training before the first use.
"""

from __future__ import annotations

from datetime import date
from functools import cache

from progdoc.app.check import check
from progdoc.document.blocks.path_blocks import path_table, standing_table, steps_of
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged

ON = date(2026, 11, 24)
PROGRAM = """\
format: 1
tasks:
  - {id: line, name: Lining tanks, use: required, masks: [{mask: half}],
     people: [new, cleared, stopped, whole, half, gone]}
masks: [{id: half, name: grey mask, facepiece: half-mask, mode: air-purifying, sizes: [M]}]
people:
  - {id: new, name: Ann New, requested: 2026-11-20}
  - {id: cleared, name: Bo Cleared, medical: [{date: 2026-11-02, recommendation: cleared}]}
  - {id: stopped, name: Cy Stopped, medical: [{date: 2026-11-02, recommendation: not-cleared}]}
  - id: whole
    name: Di Whole
    masks: [{mask: half, size: M, since: 2026-11-06}]
    medical: [{date: 2026-11-02, recommendation: cleared}]
    training:
      - date: 2026-11-03
        by: Bo Cleared
        topics: [why-and-fit, limits-and-capabilities, emergencies, inspect-wear-and-check, maintenance-and-storage,
          medical-signs, the-standard]
        knowledge_shown: yes
    fit_tests: [{date: 2026-11-04, mask: half, size: M, protocol: saccharin, screened: yes, result: pass}]
  - id: half
    name: Em Half
    masks: [{mask: half, size: M, since: 2026-11-06}]
    medical: [{date: 2026-11-02, recommendation: cleared}]
    training: [{date: 2026-11-03, by: Bo Cleared}]
    fit_tests: [{date: 2026-11-04, mask: half, size: M, protocol: saccharin, result: pass}]
  - {id: gone, name: Ed Gone, left: 2026-11-10, masks: [{mask: half, size: M}]}
  - {id: office, name: Flo Office}
"""


@cache
def judged() -> Judged:
    found = check(load({"program.yaml": PROGRAM.encode()}), ON).judged
    assert found is not None
    return found


def test_the_first_open_step_is_next() -> None:
    due = {person.id: [i for i in judged().due(365).items if f"people.{person.id}" in i.subject]
           for _, person in judged().index.present}  # fmt: skip
    steps = {person.id: steps_of(judged(), person, due[person.id]) for _, person in judged().index.present}
    still_open = {name: [step.id for step in found if step.is_open] for name, found in steps.items()}
    assert still_open == {
        "new": ["medical", "training", "fit-test", "issue"],
        "cleared": ["training", "fit-test", "issue"],
        "stopped": ["medical", "training", "fit-test", "issue"],
        "whole": [],
        "half": ["training", "fit-test"],  # what is on record bars its wearer
        "office": [],
    }
    assert "asked for on 20 November 2026" in steps["new"][0].words
    assert steps["office"] == ()
    states = [row.cells[1].children[0] for row in path_table(steps["new"]).rows]
    assert [getattr(state, "text", "") for state in states][1:3] == ["next", "open, after that"]
    rows = standing_table((person, steps[person.id]) for _, person in judged().index.present).rows
    assert [row.id for row in rows] == ["standing.new", "standing.cleared", "standing.stopped", "standing.half"]


def test_who_left_has_no_card_and_the_annex_says_what_was_not_given_back() -> None:
    assert "gone" not in card_documents(judged())
    words = repr(annex_document(judged()))
    assert "left; nothing is due for them, but not given back: grey mask, size M" in words
