"""No file outside `restricted/` holds a person's name or id, or what a medical entry says of them.

Whole sets are built from programs whose people have names that occur nowhere else; then every public file,
unpacked where it is a package, is searched. Role holders named in the program itself are not people here.
"""

from __future__ import annotations

import copy
import io
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from examples import some
from programs.generated import checked_values
from programs.patching import BASE, PROGRAMS, checked_by, judged, read_as_text

from progdoc.app.build import FORMATS, built_files
from progdoc.app.compare import compare, compared_files, summary_lines
from progdoc.app.due import due_blocks
from progdoc.app.report_formats import report_in
from progdoc.app.selection_json import selection_json
from progdoc.app.unconfirmed import unconfirmed_csv
from progdoc.cli.terminal import laid_out
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers import WRITERS

NAMES = ("Zebulon Quackenbush", "Xanthe Vriesendorp")
IDS = ("zq-one", "xv-two")
LIMIT = "no-emergency-use"  # a limit that nothing else in the program speaks of
PARTS = (*NAMES, *IDS, "zebulon", "quackenbush", "xanthe", "vriesendorp", LIMIT, LIMIT.replace("-", " "))
SECRETS = tuple(part.lower().encode() for part in PARTS)

BROKEN: list[dict[str, Any]] = [
    {},
    {"fit_tests": []},
    {"medical": []},
    {"training": []},
    {"medical": [{"date": "2026-02-03", "recommendation": "not-cleared", "copy_given": "no"}]},
    {"medical": [{"date": "2026-02-03", "recommendation": "cleared-with-limits", "limits": [LIMIT]}]},
    {"masks": [{"mask": "half-mask", "size": "S"}], "hair_in_seal": "yes", "spectacles": "yes"},
    {"masks": []},
]


# On each change what limits people, which is written in every format, and every third of the others.
TRIED = [changes for changes in BROKEN if changes in some(BROKEN, 3) or LIMIT in str(changes)]


def renamed(changes: dict[str, Any]) -> dict[str, Any]:
    values = copy.deepcopy(BASE)
    for person, name, identity in zip(values["people"], NAMES, IDS, strict=True):
        old = person["id"]
        person |= {"id": identity, "name": name, **copy.deepcopy(changes)}
        for task in values["tasks"]:
            task["people"] = [identity if known == old else known for known in task["people"]]
    return values


def inside(data: bytes) -> bytes:
    """Return everything a file holds, unpacked, in small letters."""
    if not data.startswith(b"PK"):
        return data.lower()
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        return b"\n".join(package.read(name) for name in sorted(package.namelist())).lower()


@pytest.mark.parametrize("changes", TRIED, ids=lambda changes: ", ".join(changes) or "complete")
def test_no_public_file_names_anybody(changes: dict[str, Any]) -> None:
    checked = checked_by(built_in_catalogue(), renamed(changes))
    forms = FORMATS if LIMIT in str(changes) else ("html",)  # what a page does not name, no form of it can
    files = built_files(checked, forms)
    public = {name: inside(data) for name, data in files.items() if not name.startswith("restricted/")}
    assert public
    told = {(name, secret) for name, data in public.items() for secret in SECRETS if secret in data}
    assert told == set()


def test_the_restricted_papers_do_name_them(tmp_path: Path) -> None:
    """The search above would find what it looks for: the same names are found where they belong."""
    found: Judged = judged(renamed(BROKEN[5]), tmp_path)
    papers = [WRITERS["html"](annex_document(found))]
    papers += [WRITERS["docx"](card) for card in card_documents(found).values()]
    text = b"\n".join([*map(inside, papers), laid_out(due_blocks(found, 60), 100).lower().encode()])
    assert NAMES[0].lower().encode() in text and NAMES[1].lower().encode() in text
    assert b"no emergency use" in text


# ---- programs with roles, groups, posts, former people --------------------------------------------------

OF_BODIES = ("campus-with-groups", "fire-brigade", "plant-with-bodies", "everything-said")
LEFT = {"id": "gone-qwyx", "name": "Gone Qwyxley", "left": "2026-04-30", "training": [{"date": "2025-03-02"}]}
NOBODY: dict[str, Any] = {"fit_tests": [], "medical": [], "training": [], "left": "2026-05-20"}


def _hidden(name: str) -> dict[str, Any]:
    """Return a program whose people have names that occur nowhere else, but for those who hold a role in it."""
    text = (PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8")
    whole = read_as_text(text)
    in_office = str([whole.get("officer"), whole.get("roles")])
    for number, person in enumerate(whole["people"]):
        if person["id"] not in in_office and person.get("name", "-") not in in_office:
            text = re.sub(rf"(?<![\w-]){re.escape(person['id'])}(?![\w-])", f"qwyx-{number}", text)
            text = text.replace(person.get("name", "-- no name --"), f"Qwyx{number} Qwyxley")
    values: dict[str, Any] = read_as_text(text) | {"former_people": [copy.deepcopy(LEFT)]}
    for post in values.get("posts", []):
        post.setdefault("people", [values["people"][-1]["id"]])
    return values


@pytest.mark.parametrize("name", OF_BODIES)
def test_no_public_file_of_roles_groups_and_posts_names_who_has_none(name: str) -> None:
    """As it is, with all records gone, and compared: documents, reports for programs, what is told on the screen."""
    before = _hidden(name)
    after = copy.deepcopy(before)
    after["people"][0] |= copy.deepcopy({k: v for k, v in NOBODY.items() if k != "left"})
    after["people"][-1] |= copy.deepcopy(NOBODY)
    after["former_people"] = []
    sides = [checked_values(values) for values in (before, after)]
    assert all(side.is_understood for side in sides), [d.what for side in sides for d in side.loaded.diagnostics]
    compared = compare(*sides)
    told = dict(built_files(sides[1], ("html",)))
    told |= {f"compared/{file}": data for file, data in compared_files(compared).items()}
    for i, side in enumerate(sides):
        told |= {f"{i}.{form}": report_in(side, form, False) for form in ("json", "sarif", "junit", "md")}
        told[f"{i}.select"] = selection_json(side, None)
        assert side.judged is not None
        told[f"{i}.unconfirmed"] = unconfirmed_csv(side.judged)
    told["screen"] = laid_out(summary_lines(compared.comparison, compared.names), 100).encode()
    named = [file for file, data in told.items() if b"qwyx" in inside(data)]
    assert named and all("restricted/" in file for file in named)
