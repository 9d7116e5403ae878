"""A description's plain values to the model; whatever does not fit becomes a finding with its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field

from pydantic import ValidationError

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.core.unread import Unread
from progdoc.model.description.ids import reference_faults
from progdoc.model.description.program import Program
from progdoc.model.description.program_reader import read_program
from progdoc.model.health_words import places_of_health_answers
from progdoc.model.migrate import FORMAT, migrated
from progdoc.model.people_table.former_people import with_former_people
from progdoc.model.people_table.named_tables import settings_of, tables_named_in
from progdoc.model.private_faults import guarded
from progdoc.model.shape_faults import model_fault, shape_faults
from progdoc.model.yaml.yaml_reader import Description, is_description, let_go, read_description, with_packed_lists

__all__ = ["FORMAT", "Beside", "Loaded", "load", "look_named_in", "named_beside", "parsed", "understood"]

_MOST_OF_A_TABLE = 50


@dataclass(frozen=True, slots=True)
class Loaded:
    """A description as read. `program` is None while it can't be understood."""

    program: Program | None
    description: Description
    diagnostics: tuple[Diagnostic, ...]
    files: Mapping[str, bytes | Unread] = field(default_factory=dict, repr=False)  # all that it was read from

    def locate(self, path: str) -> Location:
        return self.description.locate(path)

    def content(self, name: str) -> bytes | None:
        """Return what a file held when it was read; None where it could not be had."""
        found = self.files.get(name)
        return None if isinstance(found, Unread) else found


@dataclass(frozen=True, slots=True)
class Beside:
    """Names that a description asks for: the tables of its people, attachments, the folder of its look."""

    tables: tuple[str, ...]
    attachments: tuple[str, ...]
    look: str


def load(files: Mapping[str, bytes], name: str = "description") -> Loaded:
    """Read and validate a description held in memory.

    Parameters
    ----------
    files
        The files of its folder by name: YAML, the table of people, attachments ("texts/appendix-d.pdf"), those of
        the firm's own look ("look/look.yaml").
    name
        What findings call the folder.
    """
    described = {file: content for file, content in files.items() if is_description(file)}
    return understood(parsed(name, described), files)


def parsed(name: str, files: Mapping[str, bytes | Unread], faults: Sequence[Diagnostic] = ()) -> Description:
    """Read the YAML files of a description, in today's format; not yet the files that they name."""
    return migrated(read_description(name, files, faults))


def named_beside(description: Description) -> Beside:
    """Return the names of the files that belong to a description beside its YAML."""
    listed = description.values.get("attachments")
    entries = listed if isinstance(listed, list) else []
    files = [entry.get("file") for entry in entries if isinstance(entry, dict)]
    attachments = tuple(file.strip() for file in files if isinstance(file, str))
    return Beside(tables_named_in(description), attachments, look_named_in(description))


def look_named_in(description: Description) -> str:
    """Return the folder of the firm's own look, "" where none is named."""
    program = description.values.get("program")
    look = program.get("look") if isinstance(program, dict) else None
    return look.strip() if isinstance(look, str) else ""


def understood(description: Description, files: Mapping[str, bytes | Unread]) -> Loaded:
    """Validate a description that was parsed, with all its files at hand."""
    was_told = "people" in description.values
    if settings_of(description) is not None:
        from progdoc.model.people_table.people_tables import with_people_of_tables  # few have tables

        description = with_people_of_tables(description, files)
    description, without_day = with_former_people(description, was_told)
    found = list(description.diagnostics)
    found += [
        model_fault(
            "MODEL-002", description, path, said("Of one of the former people it is not said when they left."),
            said("Write `left: 2026-10-30` with the day; or move the entry back under `people`."),
        )
        for path in without_day
    ]  # fmt: skip
    found += _format_faults(description)
    description = with_packed_lists(description)
    program = None
    try:
        program = read_program(dict(description.values))
    except ValidationError as error:
        if description.is_complete or description.values:
            found += _few_of_each_table(shape_faults(error, description), description)
    if program is not None:
        people_are_known = description.is_complete or "people" in description.values
        found += [
            model_fault("MODEL-006" if twice else "MODEL-007", description, path, what, fix)
            for twice, path, what, fix in reference_faults(program)
            if people_are_known or ".people[" not in path
        ]
        found += [
            model_fault(
                "MODEL-008", description, path, said("What stands here seems to tell of somebody's health."),
                said(
                    "Take it out. The health professional alone keeps such answers; of a job, write what the person"
                    " does."
                ),
            )
            for path in places_of_health_answers(program)
        ]  # fmt: skip
    is_understood = all(fault.severity is not Severity.INVALID for fault in found)
    if not is_understood:
        program = None
    elif program is not None:
        description = let_go(description)
    return Loaded(program, description, tuple(map(guarded, found)), files)


def _few_of_each_table(found: list[Diagnostic], description: Description) -> list[Diagnostic]:
    """A column filled in the wrong way makes a fault in every row: show some of a table's, and how many there are."""
    tables = [file for file in description.files if not file.endswith((".yaml", ".yml"))]
    kept = list(found)
    for file in tables:
        of_table = [fault for fault in found if fault.location.file.partition("#")[0] == file]
        if len(of_table) > _MOST_OF_A_TABLE:
            left_out = len(of_table) - _MOST_OF_A_TABLE
            dropped = set(map(id, of_table[_MOST_OF_A_TABLE:]))
            kept = [fault for fault in kept if id(fault) not in dropped]
            what = said("%(n)s more values of %(file)s are not understood; they are not listed.", n=left_out, file=file)
            fix = said("Mend those that are listed, and check again.")
            kept.append(model_fault("MODEL-003", description, "people", what, fix))
    return kept


def _format_faults(description: Description) -> Iterator[Diagnostic]:
    written = description.values.get("format")
    if not description.is_complete and written is None:
        return
    if written is None:
        yield model_fault(
            "MODEL-005", description, "", said("The description does not say which format it has."),
            said("Write %(line)s as the first line of one file.", line=f"`format: {FORMAT}`"),
        )  # fmt: skip
    elif written != str(FORMAT):
        yield model_fault(
            "MODEL-005", description, "format",
            said("%(line)s is not known to this version of progdoc.", line=f"`format: {written}`"),
            said("Write %(line)s.", line=f"`format: {FORMAT}`"),
        )  # fmt: skip
