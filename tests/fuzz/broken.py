"""Descriptions, packs, tables and worksheets that somebody broke: by a slip, by a program, or on purpose.

Each begins as a sound one. Parts of it become something else, are left out, doubled or moved; then a few bytes of what
is written may change as well. A mark stands in for a worker's name, another one for something of health.
"""

from __future__ import annotations

import copy
import json
import re
from base64 import b64decode, b64encode
from typing import Any

from hypothesis import strategies as st

__all__ = [
    "HEALTH",
    "WORKER",
    "broken_bytes",
    "broken_events",
    "broken_lines",
    "broken_tables",
    "broken_trees",
    "written",
]

WORKER = "zyxwen"
HEALTH = "epilepsy"
_LONG = ("-", " ", "(", "9", "a ", "1 ", "“", "- ", "\t")
_WORDS = [
    "", "~", "no", "NO", "1:30", "010", "1e9", "-1", "99999 months", "0.1.2", "9" * 5000, "²", "٣", "½", "2026-02-30",
    "0001-01-01", "9999-12-31", "../../x", "/etc/passwd", "restricted/x", "program.yaml", "CON", "a/b", ".", "\0",
    "{subject:>300000000}", "{0.__class__}", "%s" * 9, "{{ 7 * 7 }}", "</script>", "=1+1", "\u202eabc", "\ufeff",
    "a\u00a0b", "\ud800", "x" * 300, "100 ppm", "5 mg/m3", "1000000000000000 ppm", "0.0000000001 ug/m3", WORKER,
    "97 %", "900 %", "25:61", "06:45", "501", "-1 ug/m3", "psi", "NaN", "inf",
]  # fmt: skip
_TEXTS = st.one_of(
    st.sampled_from(_WORDS),
    st.tuples(st.sampled_from(_LONG), st.sampled_from([40, 4000, 21000])).map(lambda found: found[0] * found[1]),
    st.text(max_size=20),
    st.integers(-(10**30), 10**30).map(str),
)
_ODD: st.SearchStrategy[Any] = st.one_of(
    _TEXTS,
    st.none(),
    st.lists(_TEXTS, max_size=3),
    st.dictionaries(_TEXTS, _TEXTS, max_size=3),
    st.integers(1, 60).map(lambda depth: json.loads("[" * depth + "]" * depth)),
    st.just([{}]),
    st.just([[["x"]]]),
)
_RAW = [
    "&a ", "*a ", "!x ", "!!python/object:os.system ", "<<: *a\n", "---\n", "...\n", "\t", "%YAML 9\n", "? ", ": ",
    "- ", "|\n", ">\n", "'", '"', "{", "}", "[", "]", ",", "#", "\\", "\r", "\x00", "\x85", "\u2028", "\ufeff",
    "\ud800", "@", "-" * 40 + "\n  x", "a: &x [1]\nb: [*x, *x]\n", "[" * 200, "{" * 200, "- " * 200, "“", "\udcff",
    "\n\n", " ",
]  # fmt: skip


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, part in inner for place in _places(part, (*path, key)))]


def _at(value: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        value = value[step]
    return value


@st.composite
def _unlikely_trees(draw: st.DrawFn, tree: Any) -> Any:
    """Return a tree that most likely is understood still: with other words, figures and days, and parts gone."""
    for _ in range(draw(st.integers(1, 6))):
        places = [place for place in _places(tree) if place and place != ("format",)]
        if not places:
            return tree
        *above, last = place = draw(st.sampled_from(places))
        parent, value = _at(tree, tuple(above)), _at(tree, place)
        like = [_at(tree, other) for other in places if other[-1] == last and isinstance(last, str)]
        how = draw(st.sampled_from(["words", "words", "like", "gone", "again"]))
        if how == "words" and isinstance(value, str):
            is_text, is_day = " " in value and not value[0].isdigit(), value.count("-") == 2 and value[:2] == "20"
            figures = [
                f"{number} {value.partition(' ')[2]}" for number in ("0", "0.000001", "1", "999999", "24", "1200")
            ]
            parent[last] = draw(
                st.sampled_from(["2020-02-29", "2026-11-24", "2099-12-31", "1950-01-01"]) if is_day
                else st.one_of(_TEXTS, st.text(min_size=1, max_size=60)) if is_text
                else st.sampled_from(figures) if value[:1].isdigit() and " " in value
                else st.sampled_from(["yes", "no"]) if value in ("yes", "no")
                else st.just(value)
            )  # fmt: skip
        elif how == "like" and like:
            parent[last] = copy.deepcopy(draw(st.sampled_from(like)))
        elif how == "gone" and last not in ("id", "format", "kind"):
            del parent[last]
        elif how == "again" and isinstance(parent, list) and isinstance(value, dict):
            parent.append({**copy.deepcopy(value), **({"id": f"{value['id']}-2"} if "id" in value else {})})
    return tree


@st.composite
def broken_trees(draw: st.DrawFn, sound: Any) -> Any:
    """Return a tree of groups, lists and texts, of which one part to four became something else."""
    tree = copy.deepcopy(sound)
    if draw(st.booleans()):
        return draw(_unlikely_trees(tree))
    for _ in range(draw(st.integers(1, 4))):
        places = [place for place in _places(tree) if place]
        if not places:
            return tree
        *above, last = draw(st.sampled_from(places))
        parent = _at(tree, tuple(above))
        how = draw(st.sampled_from(["odd", "odd", "gone", "again", "moved", "renamed", "health"]))
        if how == "odd":
            parent[last] = copy.deepcopy(draw(_ODD))
        elif how == "gone":
            del parent[last]
        elif how == "again" and isinstance(parent, list):
            parent.append(copy.deepcopy(parent[last]))
        elif how == "moved":
            parent[last] = copy.deepcopy(_at(tree, draw(st.sampled_from(places))))
        elif isinstance(parent, dict):
            among_people = "people" in above
            parent[HEALTH if how == "health" and among_people else draw(_TEXTS)] = parent.pop(last)
    return tree


def written(tree: Any) -> bytes:
    """Return a tree as YAML: what JSON writes is YAML, too."""
    return json.dumps(tree, ensure_ascii=False, indent=1).encode("utf-8", "surrogatepass")


@st.composite
def broken_bytes(draw: st.DrawFn, sound: bytes) -> bytes:
    """Return bytes with one piece to three put in, taken out, doubled or cut."""
    data = sound
    for _ in range(draw(st.integers(1, 3))):
        place, length = draw(st.integers(0, len(data))), draw(st.integers(0, 30))
        piece = draw(
            st.one_of(
                st.sampled_from(_RAW).map(lambda text: text.encode("utf-8", "surrogatepass")), st.binary(max_size=4)
            )
        )
        how = draw(st.sampled_from(["put in", "in place of", "doubled", "cut"]))
        rest = data[place + (length if how == "in place of" else 0) :]
        data = data[:place] + (
            b"" if how == "cut" else data[place : place + length] + rest if how == "doubled" else piece + rest
        )
    return data


@st.composite
def broken_lines(draw: st.DrawFn, sound: bytes) -> bytes:
    """Return bytes of which what is coded as Base64, over one line or more, holds other bytes."""
    runs = list(re.finditer(rb"[A-Za-z0-9+/\n]{40,}={0,2}", sound))
    run = draw(st.sampled_from(runs))
    coded = run.group().replace(b"\n", b"")
    inside = b64decode(coded + b"=" * (-len(coded) % 4))
    how = draw(st.sampled_from(["bytes", "length"]))
    if how == "length":  # the strings inside stand behind their lengths
        place = draw(st.integers(0, len(inside) - 4))
        length = draw(st.sampled_from([0, 1, 5, 64, 255, 2**16, 2**31, 2**32 - 1]))
        inside = inside[:place] + length.to_bytes(4) + inside[place + 4 :]
    else:
        inside = draw(broken_bytes(inside))
    coded = b64encode(inside)
    lines = b"\n".join(coded[start : start + 70] for start in range(0, len(coded), 70))
    return sound[: run.start()] + (lines if b"\n" in run.group() else coded) + sound[run.end() :]


# What fits some option of an event in some program of the suite.
_FITTING = [
    "all", "jo-marsh", "Jo Marsh", "tom-vale", "bo-hill", "half-mask", "scba", "dust-mask", "M", "S", "pass", "fail",
    "cleared", "not-cleared", "cleared-with-limits", "scar", "lead", "bitter-aerosol", "serviceable", "out-of-service",
    "P100", "use,fit", "12 200 40", "3 ppm", "20.9 %", "Ada Brook", "set-1", "engine", "sand-casts", "scrape-sashes",
]  # fmt: skip


@st.composite
def broken_events(draw: st.DrawFn, needed: tuple[str, ...], may: tuple[str, ...]) -> dict[str, str]:
    """Return what is told of an event: all that has to be said of it or less, and some of the rest, well or badly."""
    values = st.one_of(st.sampled_from(_FITTING), st.sampled_from(_FITTING), _TEXTS)
    told = [name for name in needed if draw(st.integers(0, 9))]
    told += draw(st.lists(st.sampled_from(may), max_size=4, unique=True)) if may else []
    return {name: draw(values) for name in told}


@st.composite
def broken_tables(draw: st.DrawFn, sound: str) -> bytes:
    """Return a table of people, of which some cells became something else, or some bytes."""
    rows = [row.split(",") for row in sound.splitlines()]
    for _ in range(draw(st.integers(0, 4))):
        row = draw(st.sampled_from(rows))
        row[draw(st.integers(0, len(row) - 1))] = draw(
            st.one_of(_TEXTS, st.sampled_from(['"', '""', '"x', ";", HEALTH]))
        )
    text = draw(st.sampled_from(["", "\ufeff", "sep=;\n"])) + draw(st.sampled_from(["\n", "\r\n"])).join(
        draw(st.sampled_from([",", ",", ";"])).join(row) for row in rows
    )
    data = text.encode(draw(st.sampled_from(["utf-8", "utf-8", "latin-1", "utf-16"])), "replace")
    return draw(broken_bytes(data)) if draw(st.booleans()) else data
