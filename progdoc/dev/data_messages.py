"""The texts of our data that are said in other languages, and the catalogues that stand beside their files.

`f_fit_testing.es.po` stands beside `f_fit_testing.yaml`, `people.es.po` beside `people.py` of the model. A text that
stands in several files is in the catalogue of the first, so that nobody says it in two ways.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from progdoc.core.errors import ResourceError
from progdoc.core.po_file import po_of, texts_of_po
from progdoc.model.description.field_texts import texts_of_module
from progdoc.model.description.fields import choice_text
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import line_of
from progdoc.rules.lookup.table_files import PRINTED_COLUMNS, table_rows
from progdoc.rules.reading.rule_forms import PRINTED_KEYS, WHO

__all__ = ["data_catalogues", "data_texts", "told_in"]

_LAID_DOWN = ("requirements", "changes", "values", "not_for_the_program", "questions")
_PRINTED = (*PRINTED_KEYS, "reason", "asks", "prompts")
_HOLDING = ("questions.yaml", "us_federal/*.yaml", "states/*/*.yaml")
_PACK = "pack.yaml"


def data_texts(root: Path) -> dict[Path, tuple[str, ...]]:
    """Return the texts of each file of data that has any, each in the first of its files, in their order."""
    found: dict[Path, tuple[str, ...]] = {}
    seen: set[str] = set()
    for file, texts in (*_in_yaml(root), *_in_the_model(root), *_in_tables(root)):
        new = tuple(dict.fromkeys(text for text in texts if text and text not in seen))
        seen.update(new)
        if new:
            found[file] = new
    return found


def data_catalogues(root: Path, codes: Iterable[str]) -> dict[Path, str | None]:
    """Return each catalogue beside our data brought up to date, by its file; None for one without texts by now."""
    files: dict[Path, str | None] = {}
    texts = data_texts(root)
    for code in codes:
        there = sorted((root / "progdoc").rglob(f"*.{code}.po"))
        known: dict[str, str] = {}
        for file in there:
            known |= texts_of_po(file.read_text(encoding="utf-8"))
        files |= dict.fromkeys(there)
        files |= {file.with_suffix(f".{code}.po"): po_of(code, said, known) for file, said in texts.items()}
    return files


# ---- where they stand -----------------------------------------------------------------------------------


def _in_yaml(root: Path) -> Iterator[tuple[Path, list[str]]]:
    folder = root / "progdoc" / "catalogue"
    for file in sorted(
        (*folder.glob("questions.yaml"), *folder.glob("us_federal/*.yaml"), *folder.glob("states/*/*.yaml"))
    ):
        yield file, list(told_in(file.read_bytes(), file.name))


def told_in(content: bytes, name: str) -> Iterator[str]:
    """Yield the texts of a file of a pack, or of the questions, that are printed."""
    tree = read_content(content, name, Bounds())
    if tree.diagnostics:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in tree.diagnostics))
    if name == _PACK:
        yield line_of(tree.top["title"]) if "title" in tree.top else WHO  # the federal pack has none
    for part in _LAID_DOWN:
        yield from _printed_below(tree.top[part]) if part in tree.top else ()


def _printed_below(node: Node) -> Iterator[str]:
    if isinstance(node.content, list):
        for entry in node.content:
            yield from _printed_below(entry)
    elif isinstance(node.content, dict):
        if "section" in node.content:  # of a question: a heading of the desk
            yield choice_text(line_of(node.content["section"]))
        for key in _PRINTED:
            said = node.content.get(key)
            if said is not None:
                yield from map(line_of, said.content if isinstance(said.content, list) else [said])


def _in_tables(root: Path) -> Iterator[tuple[Path, list[str]]]:
    for name, columns in PRINTED_COLUMNS.items():
        file = root / "progdoc" / "catalogue" / "tables" / f"{name}.csv"
        yield file, [row[column] for row in table_rows(name) for column in columns]


def _in_the_model(root: Path) -> Iterator[tuple[Path, list[str]]]:
    folder = root / "progdoc" / "model" / "description"
    for file in sorted(folder.glob("*.py")):
        yield file, list(texts_of_module(file.stem))
