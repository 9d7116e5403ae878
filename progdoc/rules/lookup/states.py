"""The states and territories, and whom a plan of theirs covers: a closed list, `catalogue/tables/state_plans.csv`."""

from __future__ import annotations

import re
from functools import cache

from progdoc.core.said import said, said_join
from progdoc.rules.lookup.clauses import Words
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["EVERYBODY", "PUBLIC_EMPLOYEES", "differences_of", "state_of_address", "states_in", "tells_whose_law"]

EVERYBODY = "everybody"
PUBLIC_EMPLOYEES = "public-employees"
_ZIP = re.compile(r"\d{5}(?:-\d{4})?")
_CODE = re.compile(r"(?<!\S)([A-Z]{2})$")


def states_in(text: str) -> dict[str, str]:
    """Return whom the plans of the states cover that a text names, by name or by the letters of the post office.

    >>> states_in("West Virginia"), states_in("CA"), states_in("Vermont and New York")
    ({'West Virginia': 'none'}, {'California': 'everybody'}, {'Vermont': 'everybody', 'New York': 'public-employees'})
    """
    by_code = _by_code()
    if text.strip().upper() in by_code:
        name, covers = by_code[text.strip().upper()]
        return {name: covers}
    plans = {name.casefold(): (name, covers) for name, covers in by_code.values()}
    return dict(plans[found[0].casefold()] for found in _names().finditer(text))


def state_of_address(text: str) -> tuple[str, str] | None:
    """Return the state in which an address or a place's name ends, with whom its plan covers; None where in none.

    >>> state_of_address("12 Elm, Fresno, CA 93650"), state_of_address("Fresno, California")
    (('California', 'everybody'), ('California', 'everybody'))
    >>> state_of_address("3 Washington Street"), state_of_address("Oregon")
    (None, None)
    """
    before, comma, end = _without_zip(text).rpartition(",")
    if code := _CODE.search(end):
        found = _by_code().get(code[1])
        return found if comma or before or code.start() else None
    names = {name.casefold(): (name, covers) for name, covers in _by_code().values()}
    return names.get(end.strip().casefold()) if comma else None


def _without_zip(text: str) -> str:
    words = text.strip().rstrip(".").split()
    return " ".join(words[:-1] if words and _ZIP.fullmatch(words[-1]) else words)


def differences_of(state: str) -> str:
    """Return what a state's own rules ask beyond the federal ones, as far as known: what was read, and what was not.

    >>> differences_of("Arizona")
    'Arizona, not read and to be looked up: federal rules by reference (A.A.C. R20-5-601, -602).'
    """
    told: dict[str, list[str]] = {}
    for row in table_rows("state_differences"):
        if row["state"] == state:
            lead = said("as read") if row["support"] == "read" else said("not read and to be looked up")
            told.setdefault(lead, []).append(said("%(asks)s (%(rule)s)", asks=row["asks"], rule=row["rule"]))
    return said_join(
        (
            said("%(state)s, %(lead)s: %(rows)s.", state=state, lead=lead, rows=said_join(rows, "; "))
            for lead, rows in told.items()
        ),
        " ",
    )


@cache
def _by_code() -> dict[str, tuple[str, str]]:
    return {row["code"]: (row["name"], row["covers"]) for row in table_rows("state_plans")}


@cache
def _names() -> Words:
    longest_first = sorted((name for name, _ in _by_code().values()), key=len, reverse=True)
    return Words(longest_first, _whole_name)


def _whole_name(name: str) -> re.Pattern[str]:
    return re.compile(rf"\b{re.escape(name)}\b", re.IGNORECASE)


def tells_whose_law(text: str | None) -> bool:
    """Return whether a text names what puts work under another authority than most firms of the state.

    >>> tells_whose_law("All work is in the naval base, a federal enclave"), tells_whose_law("The state asks for more")
    (True, False)
    """
    return text is not None and is_told("whose_law", text)
