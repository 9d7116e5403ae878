"""What a text of one field says that is no answer to what this field asks, or stands against the law there.

The words are data (`catalogue/tables/field_words.yaml`), by the place of the field: what is a plain answer in one is
none in another.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, Words, clauses_of, says_no_more
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["against_the_law", "answers_another_thing"]

_INDEX = re.compile(r"\[\d+\]")


@lru_cache(maxsize=TEXTS_KEPT)
def answers_another_thing(text: str, path: str) -> str:
    """Return the words that are no answer to what a field asks, where the text says nothing else, or nothing.

    >>> answers_another_thing("By e-mail", "procedures.training.method")
    'By e-mail'
    >>> answers_another_thing("A class of two hours; the plan comes by e-mail", "procedures.training.method")
    ''
    """
    words = _of_field("no_answer", _INDEX.sub("[]", path))
    if words is None or words[1].search(text):
        return ""
    clauses = clauses_of(text)
    found = [
        clause for clause in clauses if (at := words[0].search(clause)) and not is_told("denials", clause[: at.start()])
    ]
    return found[0].strip() if found and says_no_more(one for one in clauses if one not in found) else ""


@lru_cache(maxsize=TEXTS_KEPT)
def against_the_law(text: str, path: str) -> tuple[str, str] | None:
    """Return the words of a text that stand against what the law asks of its field, and the paragraph.

    >>> against_the_law("It is worn until the new one comes", "procedures.repair.out_of_service")
    ('It is worn until the new one comes', '29 CFR 1910.134(h)(4)')
    >>> against_the_law("Set aside, and never used anyway", "procedures.repair.out_of_service")
    """
    field = _INDEX.sub("[]", path)
    words = _of_field("against_the_law", field)
    for clause in clauses_of(text) if words else ():
        found = words[0].search(clause) if words else None
        if words and found and not words[1].search(text) and not is_told("denials", clause[: found.start()]):
            return clause.strip(), _law_of(field)
    return None


@cache
def _of_field(name: str, field: str) -> tuple[Words, Words] | None:
    entries = [entry for entry in table_entries("field_words", name) if field in entry["fields"]]
    if not entries:
        return None
    words, unless = ([word for entry in entries for word in entry[key]] for key in ("words", "unless"))
    return Words(words), Words(unless)


@cache
def _law_of(field: str) -> str:
    return next(
        str(entry["law"]) for entry in table_entries("field_words", "against_the_law") if field in entry["fields"]
    )
