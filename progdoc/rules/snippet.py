"""What a finding tells to type: the example of a requirement, with the reader's own ids and blanks for the rest.

An example of the catalogue is filled with the words of an invented firm. Typed as it stands it would state
what nobody said, so that of its values only those stay that are no statement: ids, and the kinds and adopted
paragraphs of a procedure. A result is never proposed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache

from progdoc.model.description.index import Index
from progdoc.rules.requirement import Subject

__all__ = ["BLANK", "for_evidence", "place_to_fill", "snippet", "unnamed", "with_ids", "without_stated"]

BLANK = "…"
_REFERS = {"mask": "masks", "task": "tasks", "filter": "filters"}
_REFER_IN_LISTS = {"escape_masks": "masks", "never_same_day": "tasks"}
_LISTS = ("people", "masks", "tasks", "hazards", "filters", "units", "schedules")
_LINE = re.compile(r"^(?P<lead> *)(?P<dash>- )?(?:(?P<key>[a-z_0-9]+):(?: (?P<value>.*))?|(?P<item>.*))$")
_PAIR = re.compile(r"([a-z_0-9]+): (\"[^\"]*\"|\[[^\]]*\]|\{[^{}]*\}|[^,{}\[\]]+)")
_MEASURE = re.compile(r"\d+ (days?|weeks?|months?|years?)")
_CHOICE = re.compile(r"[a-z][a-z0-9-]*")
_SAMPLES = "samples"
_NONE = "unknown"
_ANSWERS = ("yes", "no", "none")


def snippet(example: str, subject: Subject) -> str:
    """Return an example with the ids of a subject; what only the user can know is left blank."""
    return with_ids(unnamed(example, subject), subject)


def unnamed(example: str, subject: Subject) -> str:
    """Return the same with a sign in place of each id: the same lines for all subjects of a kind, written once."""
    return _unnamed(example, tuple(_ids_of(subject)))


def with_ids(lines: str, subject: Subject) -> str:
    """Return lines to type that have signs, with the ids of a subject in their places."""
    for kind, name in _ids_of(subject).items():
        lines = lines.replace(_sign(kind), name)
    return lines


def _ids_of(subject: Subject) -> dict[str, str]:
    return {kind: name for kind, _, name in (text.partition(".") for text in subject.ids)}


def _sign(kind: str) -> str:
    return f"\ue000{kind}\ue001"  # of the private use area: no example has it


@cache
def _unnamed(example: str, kinds: tuple[str, ...]) -> str:
    ids = {kind: _sign(kind) for kind in kinds}
    lines: list[str] = []
    parents: list[tuple[int, str]] = []
    for line in example.splitlines():
        found = _LINE.match(line)
        if found is None:
            continue
        depth = len(found["lead"]) + (2 if found["dash"] else 0)
        if found["key"] is None and not found["dash"]:
            continue  # a folded text goes on
        outer = depth - 2 if found["dash"] else depth
        parents = [(at, key) for at, key in parents if at < outer]
        parent = parents[-1][1] if parents else ""
        is_record = bool(parents and parents[0][1] in _LISTS)
        lead = f"{found['lead']}{found['dash'] or ''}"
        if found["key"] is None:
            entry = f"{lead}{_value(found['item'], is_record, ids, parent)}"
            lines += [entry] if lines[-1:] != [entry] else []  # seven blanks ask no more than one
            continue
        if found["dash"] and found["key"] != "id" and parent in _LISTS and parent in ids:
            lines.append(f"{lead}id: {ids[parent]}")
            lead = " " * depth
        parents.append((depth, found["key"]))
        if not found["value"]:
            lines.append(f"{lead}{found['key']}:")
            continue
        lines.append(f"{lead}{found['key']}: {_of_key(found['key'], found['value'], is_record, ids, parent)}")
    return "\n".join(lines) + "\n" if lines else ""


def place_to_fill(index: Index, path: str) -> str:
    """Return the lines that lead to a place of the description, with a blank there.

    An entry of a list is told by its id.
    """
    lines: list[str] = []
    depth, mark, place = 0, "", ""
    *above, last = path.split(".")
    for step in above:
        name, _, number = step.partition("[")
        lines.append(f"{'  ' * depth}{mark}{name}:")
        depth, mark, place = depth + 1 + bool(mark), "", f"{place}.{step}".removeprefix(".")
        if number:
            known = getattr(index.value_at(place), "id", None)
            mark = "- "
            if known is not None:
                lines.append(f"{'  ' * depth}- id: {known}")
                depth, mark = depth + 1, ""
    lines.append(f"{'  ' * depth}{mark}{last.partition('[')[0]}: {BLANK}")
    return "\n".join(lines)


def without_stated(lines: str, place: str, is_stated: Callable[[str], bool]) -> str:
    """Return lines to type without the fields that stand in the description already; all where none would be left.

    `place`: what the lines are about, "tasks[2]"; entries of other lists are new.
    """
    kept: list[str] = []
    is_any_left = False
    for line, path, is_own, answers in _fields_of(lines, place.rpartition("[")[0]):
        if path and is_stated(f"{place}.{path}" if is_own else path):
            continue
        is_any_left |= answers
        kept.append(line)
    return "\n".join(_with_contents(kept)) + "\n" if is_any_left else lines


@cache
def _fields_of(lines: str, of_list: str) -> tuple[tuple[str, str, bool, bool], ...]:
    """Return each line, the place of the field in it that may be stated, whether it is one of what the lines are about,
    and whether the line answers anything: written once for all that stand in a list."""
    told: list[tuple[str, str, bool, bool]] = []
    above: list[tuple[int, str]] = []
    here = f"{of_list}[]."
    for line in lines.splitlines():
        found = _LINE.match(line)
        if found is None or found["key"] is None:
            told.append((line, "", False, bool(line.strip())))
            continue
        column = len(found["lead"]) + len(found["dash"] or "")
        above = [(at, key) for at, key in above if at < column]
        if found["dash"] and above:
            above[-1] = (above[-1][0], f"{above[-1][1].removesuffix('[]')}[]")
        path = ".".join([*(key for _, key in above), found["key"]])
        above.append((column, found["key"]))
        is_own = bool(of_list) and path.startswith(here)
        path = path.removeprefix(here) if is_own else path
        is_field = bool(found["value"]) and found["key"] != "id"
        may_be_stated = is_field and not found["dash"] and "[]" not in path
        told.append((line, path if may_be_stated else "", is_own, is_field))
    return tuple(told)


def _with_contents(lines: Sequence[str]) -> Iterator[str]:
    """Yield the lines without keys under which nothing is left."""
    depths = [len(line) - len(line.lstrip(" -")) for line in lines] + [0]
    for number, line in enumerate(lines):
        if not line.endswith(":") or depths[number + 1] > depths[number]:
            yield line


def for_evidence(example: str, evidence: object) -> str:
    """Return an example of samples for the kind of evidence that stands: with its kind, and the fields that it lacks.

    Samples pasted over a judgment or a row of a table would take away what is known.
    """
    kind = getattr(evidence, "kind", _NONE)
    if kind in (_NONE, _SAMPLES) or f"kind: {_SAMPLES}" not in example:
        return example
    lines: list[str] = []
    fields: dict[str, str] = {}
    for line in example.splitlines():
        if line.strip() == f"kind: {_SAMPLES}":
            place = line[: len(line) - len(line.lstrip())]
            lines.append(f"{place}kind: {kind}")
        elif line.strip().startswith("- {"):
            lacking = ((key, value) for key, value in _PAIR.findall(line) if getattr(evidence, key, "") is None)
            fields |= {key: f"{place}{key}: {value}" for key, value in lacking}
        elif line.strip() != "results:":
            lines.append(line)
    return "\n".join((*lines, *fields.values())) + "\n" if fields else ""


def _of_key(key: str, value: str, is_record: bool, ids: dict[str, str], parent: str) -> str:
    if key == "id":
        return ids.get(parent, BLANK)
    if key in _REFERS:
        return ids.get(_REFERS[key], BLANK)
    if key == "protocols":  # which tests are given is a fact of the site, and what a mask is good for hangs on it
        return f"[{BLANK}]"
    if key == "kind":
        return value
    kind = _REFER_IN_LISTS.get(key, key)
    if value.startswith("[") and kind in _LISTS and "{" not in value:
        return f"[{BLANK if kind == parent else ids.get(kind, BLANK)}]"  # no entry refers to itself
    return _value(value, is_record, ids, key)


def _value(value: str, is_record: bool, ids: dict[str, str], parent: str) -> str:
    value = value.strip()
    if value.startswith("[{"):
        return f"[{_value(value[1:-1], is_record, ids, parent)}]"
    if value.startswith("{"):
        pairs = (f"{k}: {_of_key(k, v.strip(), is_record, ids, parent)}" for k, v in _PAIR.findall(value[1:-1]))
        return f"{{{', '.join(pairs)}}}"
    if value.startswith("["):
        kept = [part.strip() for part in value[1:-1].split(",")]
        all_kept = not is_record and all(_stays(part) for part in kept)
        return value if all_kept else f"[{BLANK}]"
    return value if not is_record and _stays(value) else BLANK


def _stays(value: str) -> bool:
    """Whether a value names a choice of the law's or a length of time, and states no answer."""
    return value not in _ANSWERS and bool(_CHOICE.fullmatch(value) or _MEASURE.fullmatch(value))
