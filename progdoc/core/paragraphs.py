"""Places in the law as people type them: "(f)(2)", "f2", "1910.134(f)(2)", "App. B-2", "§ 1910.134 Appendix A, I.A.9".

A state's own are "8 CCR 5153(g)", "5153(g)", "WAC 296-842-19005(1)". Both what was typed and what the
catalogue cites become the same steps, so that one can be looked up in the other.
"""

from __future__ import annotations

import re
from functools import lru_cache

__all__ = ["MAIN_STANDARD", "is_under", "relettered", "sort_key", "steps_of"]

MAIN_STANDARD = "1910.134"  # what a paragraph without a number belongs to

_NOISE = re.compile(r"29\s*c\.?f\.?r\.?|§|\bosha\b|\bparagraph\b|\bpara?\.|\bsection\b|\bsec\.", re.IGNORECASE)
_NUMBER = re.compile(r"\b(19\d\d\.\d+)\b")
# Of a state: sections, named or at the beginning ("8 CCR 5153", "5141.1"), and chapters with one ("296-842-19005").
_SECTION = re.compile(r"\b8\s*c\.?c\.?r\.?\s*(\d{4}(?:\.\d+)?)|^\s*(\d{4}(?:\.\d+)?)(?![\d.])", re.IGNORECASE)
_CHAPTER = re.compile(r"(?:\b(?:wac|oar)\s*)?\b(\d{3}-\d{2,3})(?!\d)", re.IGNORECASE)
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x")
_LETTERED = re.compile(r"\([c-o]\)(?:\(\d+\)(?:\([ivx]+\)(?:\([A-Z]\)(?:\(\d+\))?)?)?)?")
_APPENDIX = re.compile(r"\bapp(?:endix|x)?\b\.?\s*([a-d])(?:[-\s]?([12])(?!\d))?(?![a-z])", re.IGNORECASE)
_PART = re.compile(r"\bpart\b", re.IGNORECASE)
_STEP = re.compile(r"\d+|[a-z]+|[A-Z]+")


@lru_cache(maxsize=4096)  # the places that the catalogue cites are sorted again and again
def steps_of(text: str) -> tuple[str, ...]:
    """Return the steps to a place: the standard, the appendix if it is one, then letters and numbers.

    >>> steps_of("29 CFR 1910.134(f)(2)") == steps_of("(f)(2)") == steps_of("f2") == steps_of("1910.134 f.2")
    True
    >>> steps_of("App. B-2"), steps_of("29 CFR 1910.134, Appendix A, Part I.A.9")
    (('1910.134', 'appendix b-2'), ('1910.134', 'appendix a', 'i', 'a', '9'))
    >>> steps_of("1926.62(d)(2)(iv)")
    ('1926.62', 'd', '2', 'iv')
    >>> steps_of("8 CCR 5153(g)") == steps_of("5153(g)"), steps_of("WAC 296-842-19005(1)")
    (True, ('296-842', '19005', '1'))
    """
    rest = _NOISE.sub(" ", text)
    number = _NUMBER.search(rest) or _CHAPTER.search(rest) or _SECTION.search(rest)
    standard = next(filter(None, number.groups())) if number else MAIN_STANDARD
    if number:
        rest = f"{rest[: number.start()]} {rest[number.end() :]}"
    head: tuple[str, ...] = ()
    if appendix := _APPENDIX.search(rest):
        head = (f"appendix {appendix[1]}{f'-{appendix[2]}' if appendix[2] else ''}".lower(),)
        rest = rest[appendix.end() :]
    steps = tuple(step.lower() for step in _STEP.findall(_PART.sub(" ", rest)))
    return (standard, *head, *steps)


def is_under(place: tuple[str, ...], wanted: tuple[str, ...]) -> bool:
    """Whether a place is the wanted one or part of it; Appendix B is both B-1 and B-2.

    >>> is_under(("1910.134", "appendix b-2", "i"), ("1910.134", "appendix b"))
    True
    """
    if place[: len(wanted)] == wanted:
        return True
    *before, last = wanted
    here = place[len(before)] if len(place) > len(before) else ""
    return place[: len(before)] == tuple(before) and last.startswith("appendix") and here.startswith(f"{last}-")


def relettered(locator: str) -> str:
    """Return a paragraph of the respirator standard by the letters of California: (A) for (i), 1. for (A), a for (1).

    Nothing for appendices, and for paragraphs that were not read there.

    >>> relettered("(d)(3)(iii)(B)(2)"), relettered("(e)(2)(ii)"), relettered("(g)(3)(vi)(A)"), relettered("(f)(2)")
    ('(d)(3)(C)2.b', '(e)(2)(B)', '(g)(3)(F)1', '(f)(2)')
    >>> relettered("(d)(2)(iii), Table II"), relettered("Appendix A"), relettered("(b)")
    ('(d)(2)(C), Table II', '', '')
    """
    found = _LETTERED.match(locator)
    if found is None:
        return ""
    steps = found[0].strip("()").split(")(")
    text = "".join(f"({step})" for step in steps[:2])
    if steps[2:]:
        text += f"({chr(ord('A') + _ROMAN.index(steps[2]))})"
    if steps[3:]:
        text += str(ord(steps[3]) - ord("A") + 1)
    if steps[4:]:
        text += f".{chr(ord('a') + int(steps[4]) - 1)}"
    return text + locator[found.end() :]


def sort_key(place: tuple[str, ...]) -> tuple[tuple[int, int, str], ...]:
    """Return a key that puts (2) before (10), and appendices after the paragraphs.

    >>> sorted([("x", "appendix a"), ("x", "a", "10"), ("x", "a", "2")], key=sort_key)
    [('x', 'a', '2'), ('x', 'a', '10'), ('x', 'appendix a')]
    """
    return tuple((step.startswith("appendix"), int(step) if step.isdigit() else 0, step) for step in place)
