"""What is worked out when data of ours is written, not at each start: trees of YAML, tables, rules,
how a description is read, templates.
"""

from __future__ import annotations

from pathlib import Path

from progdoc.core.errors import ResourceError
from progdoc.core.paper_language import ENGLISH, known_languages, language_of
from progdoc.document.templating import compiled_before
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.description import program_reader
from progdoc.model.yaml import read_before
from progdoc.model.yaml.read_before import lines_of
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_tree import Tree
from progdoc.rules.lookup import tables_before
from progdoc.rules.lookup.table_files import lists_of
from progdoc.rules.reading import rules_before
from progdoc.rules.reading.catalogue import read_federal
from progdoc.rules.reading.question_list import read_questions

__all__ = ["prepared", "rules_of", "tables_of", "trees_of"]


def prepared(root: Path) -> dict[Path, str]:
    """Return the files that are written from others of a checkout, each with its text."""
    catalogue, templates = root / "progdoc" / "catalogue", root / "templates"
    return {
        catalogue / read_before.FILE: trees_of(catalogue, templates),
        catalogue / tables_before.FILE: tables_of(catalogue),
        catalogue / rules_before.FILE: rules_of(),
        catalogue / program_reader.FILE: program_reader.schema_line(),
        **_compiled_into(templates / "program", ENGLISH.code),
        **{
            file: text
            for code in known_languages()
            if code != ENGLISH.code
            for file, text in _compiled_into(templates / "locale" / code, code).items()
        },
    }


def _compiled_into(folder: Path, code: str) -> dict[Path, str]:
    """Return the files of the templates of one language: as Python, and as the bytecode of this one."""
    compiled = "".join(shipped_templates().in_language(language_of(code)).compiled())
    bytecode = "".join(compiled_before.bytecode_of(compiled))
    return {folder / compiled_before.FILE: compiled, folder / compiled_before.BYTECODE_FILE: bytecode}


def rules_of() -> str:
    """Return the text of the file of rules: a line for the federal catalogue, one for the questions."""
    return rules_before.lines_of({"catalogue": read_federal(), "questions": read_questions()})


def tables_of(catalogue: Path) -> str:
    """Return the text of the file of lists: a line for each table that is no grid, in the order of their names."""
    files = (file for file in sorted((catalogue / "tables").glob("*.yaml")) if not file.name.endswith(".source.yaml"))
    return tables_before.lines_of((file.read_bytes(), lists_of(file)) for file in files)


def trees_of(*folders: Path) -> str:
    """Return the text of the file of trees: a line for each file of ours in YAML, in the order of their names."""
    files = (file for folder in folders for file in sorted(folder.rglob("*.yaml")) if ".source." not in file.name)
    return lines_of((content, _tree(content, file.name)) for file in files for content in [file.read_bytes()])


def _tree(content: bytes, name: str) -> Tree:
    tree = read_content(content, name, Bounds())
    if tree.diagnostics:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in tree.diagnostics))
    return tree
