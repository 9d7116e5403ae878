"""No file outside `restricted/` holds a person's name or id, or what a medical entry says of them.

Whole sets are built from programs whose people have names that occur nowhere else; then every public file,
unpacked where it is a package, is searched. Role holders named in the program itself are not people here.
"""

from __future__ import annotations

import copy
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from examples import some
from programs.patching import BASE, checked_by, judged

from progdoc.app.build import FORMATS, built_files
from progdoc.app.due import due_blocks
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
