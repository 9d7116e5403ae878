"""A new requirement as changes to the texts of the checkout: entry, question, passage, patches, codes, changelog.

It is laid down beside a known one and takes from it what the two share: the file, to whom it applies, the place in
the program. Words are left to a person: where they belong stands a mark that fails the tests.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from progdoc.core.citations import Citation
from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.question_list import question_list
from progdoc.rules.requirement import Requirement

__all__ = ["FILL_IN", "Asked", "NotLaidDownError", "texts_with"]

FILL_IN = "FILL IN"
_PATH = re.compile(r"[a-z_]+(\.[a-z_]+)+")
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class NotLaidDownError(ProgdocError):
    """What was asked for can't be laid down; the message says why."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A requirement to be."""

    paragraph: str
    beside: str  # the code of a requirement of the same kind
    name: str
    path: str  # of the fact that satisfies it


def texts_with(asked: Asked, texts: Mapping[str, str]) -> tuple[str, dict[str, str]]:
    """Return the new code, and every text that changes, by name.

    Parameters
    ----------
    asked
        What to lay down.
    texts
        The catalogue's files, the templates, the patches, the list of codes and the changelog, by their names.
    """
    known = {requirement.code: requirement for requirement in built_in_catalogue().requirements}
    if asked.beside not in known:
        raise NotLaidDownError(f"{asked.beside} is no requirement; name one with --beside")
    if not _NAME.fullmatch(asked.name) or asked.name in {requirement.name for requirement in known.values()}:
        raise NotLaidDownError(f"`{asked.name}`: write a new name in small letters and hyphens that names the trouble")
    if not _PATH.fullmatch(asked.path):
        raise NotLaidDownError(f"`{asked.path}`: name a field of the description, such as procedures.cleaning.by")
    codes = _only(texts, "codes.csv", "code,paragraph")
    code = _next_free(asked.beside, {*known, *re.findall(r"^[A-Z]{3}-\d{3}", texts[codes], re.MULTILINE)})
    entry = _only(texts, "us_federal/", f"  - code: {asked.beside}\n")
    changed = {entry: _with_entry(texts[entry], code, asked)}
    passage = [name for name, text in texts.items() if "sections/" in name and _call(asked.beside).search(text)]
    for name in passage[:1]:
        changed[name] = _with_passage(texts[name], code, asked)
    asking = question_list().of(known[asked.beside])
    if asking is not None and question_list().asking(asked.path) is None:
        questions = _only(texts, "questions.yaml", f"  - id: {asking.id}\n")
        changed[questions] = _with_field(texts[questions], asking.id, asked.path)
    patches = _only(texts, "patches/", f"code: {asked.beside},", f"code: {asked.beside}\n")
    changed[patches] = _with_patches(texts[patches], code, asked)
    citation = _citation(known[asked.beside], asked.paragraph)
    changed[codes] = _with_line(texts[codes], code, citation)
    log = _only(texts, "CHANGELOG.md", "### Findings may change\n")
    line = f"- {code} ({citation}): {FILL_IN} what is asked now that was not asked before.\n"
    changed[log] = texts[log].replace("### Findings may change\n\n", f"### Findings may change\n\n{line}", 1)
    return code, changed


def _only(texts: Mapping[str, str], place: str, *marks: str) -> str:
    found = [name for name, text in texts.items() if place in name and any(mark in text for mark in marks)]
    if not found:
        raise NotLaidDownError(f"no file of {place} holds `{marks[0].strip()}`: is this a checkout?")
    return found[0]


def _next_free(beside: str, taken: set[str]) -> str:
    """Return the first code of the family after a known one that nothing ever had.

    >>> _next_free("CLN-002", {"CLN-001", "CLN-002", "CLN-003", "CLN-021"})
    'CLN-004'
    """
    family, number = beside[:4], int(beside[4:])
    while f"{family}{number:03}" in taken:
        number += 1
    return f"{family}{number:03}"


def _citation(kin: Requirement, paragraph: str) -> Citation:
    head, _, rest = paragraph.partition(" ")
    source = built_in_catalogue().sources.get(head)
    return Citation(source, rest) if source else Citation(kin.citation.source, paragraph)


# ---- the entry ----------------------------------------------------------------------------------------


def _with_entry(text: str, code: str, asked: Asked) -> str:
    """Put the entry after the last one of its family with a smaller code."""
    blocks = re.split(r"(?m)^(?=  - |\w)", text)
    earlier = [i for i, block in enumerate(blocks) if _code_of(block)[:4] == code[:4] and _code_of(block) < code]
    kin = next(block for block in blocks if _code_of(block) == asked.beside)
    blocks[earlier[-1]] = f"{blocks[earlier[-1]].rstrip()}\n\n"
    blocks.insert(earlier[-1] + 1, _entry(code, asked, kin))
    return f"{''.join(blocks).rstrip()}\n"


def _code_of(block: str) -> str:
    found = re.match(r"  - code: (\S+)", block)
    return found[1] if found else ""


def _entry(code: str, asked: Asked, kin: str) -> str:
    shared = "".join(re.findall(r"(?m)^    (?:per|applies|scope|audience):.*\n(?:     .*\n)*", kin))
    *above, last = asked.path.split(".")
    example = "".join(f"{'  ' * depth}{key}:\n" for depth, key in enumerate(above, 3))
    return (
        f"  - code: {code}\n"
        f"    name: {asked.name}\n"
        f'    citation: "{asked.paragraph}"\n'
        f"{shared}"
        f"    proof: {{given: {asked.path}}}\n"
        f"    duty: {FILL_IN} what is to be done, as the firm would say it.\n"
        f"    what: {FILL_IN} what is wrong, in words that fit a silent field and a wrong one.\n"
        f"    why: {FILL_IN} the reason, in a sentence.\n"
        f"    fix: {FILL_IN} what to type.\n"
        f"    example: |\n{example}{'  ' * (len(above) + 3)}{last}: {FILL_IN}\n\n"
    )


def _with_field(text: str, question: str, path: str) -> str:
    """Put a field that nobody asks for yet last among the fields of a question."""
    start = text.index("    fields: [", text.index(f"  - id: {question}\n"))
    end = text.index("]\n", start)
    glue = "" if text[end - 1] == "[" else ",\n             "
    return f"{text[:end]}{glue}{path}{text[end:]}"


# ---- where the program answers it ---------------------------------------------------------------------


def _call(code: str) -> re.Pattern[str]:
    return re.compile(rf'{{% call (answer|say|item)\([^)]*"{code}"')


def _with_passage(text: str, code: str, asked: Asked) -> str:
    """Put a sentence of the same form behind the one that answers the known requirement."""
    found = _call(asked.beside).search(text)
    if found is None:
        raise NotLaidDownError(f"no passage answers {asked.beside}")
    depth, end = 0, len(text)
    for mark in re.finditer(r"{% (call|endcall)\b.*?%}\n", text[found.start() :]):
        depth += 1 if mark[1] == "call" else -1
        if depth == 0:
            end = found.start() + mark.end()
            break
    sentence = f"{FILL_IN} what the firm does: {{{{ phrase({asked.path}) }}}}."
    return f'{text[:end]}{{% call {found[1]}("{code}") %}}\n{sentence}\n{{% endcall %}}\n{text[end:]}'


# ---- tests, lists -------------------------------------------------------------------------------------


def _with_patches(text: str, code: str, asked: Asked) -> str:
    """Put the patches behind those of the known requirement; where that does not apply, the new one does not either."""
    blocks = re.split(r"(?m)^(?=- )", text)
    kin = [i for i, block in enumerate(blocks) if re.search(rf"\bcode: {asked.beside}\b", block)]
    spared = [blocks[i].rstrip() for i in kin if "expect: not-applicable" in blocks[i]]
    lines = [f"- {{code: {code}, expect: gap, drop: [{asked.path}], at: {asked.path}}}"]
    lines += [block.replace(asked.beside, code) for block in spared[:1]]
    blocks[kin[-1]] = f"{blocks[kin[-1]].rstrip()}\n"
    return "".join([*blocks[: kin[-1] + 1], *(f"{line}\n" for line in lines), *blocks[kin[-1] + 1 :]])


def _with_line(codes: str, code: str, citation: Citation) -> str:
    head, *rows = codes.splitlines()
    paragraph = f'"{citation}"' if "," in str(citation) else str(citation)
    return "\n".join([head, *sorted([*rows, f"{code},{paragraph}"])]) + "\n"
