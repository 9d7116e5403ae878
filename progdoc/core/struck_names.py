"""Names of workers, struck out of a text that is handed out.

Whoever types a name where it does not belong may type it in another case, with another sign between its parts, or
glued to something. So texts are compared word by word, and a part of a name is struck as the whole is. Rather too much
is struck than too little: the words of a message that happen to be somebody's name go with it.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

__all__ = ["STRUCK", "Names", "names_of", "struck_out"]

STRUCK = "(name)"  # what stands in the place of a name

Names = Mapping[str, frozenset[tuple[str, ...]]]  # what is struck, word by word, under its first word

_WORD = re.compile(r"[^\W_]+")
_WITHIN = range(5, 31)  # so long a name is found inside a longer word, too: `jmarsh`, `marsh2`


def names_of(ids: Iterable[str], names: Iterable[str]) -> Names:
    """Return what is struck out for people of these ids and names: each as a whole, and by its parts.

    A part that more than half of the ids have, such as the `worker` of `worker-1`, tells nobody apart and stays.

    >>> struck_out("`Jo_Marsh`, `marsh`, `jmarsh2` and worker 2", names_of(["worker-1", "worker-2"], ["Jo Marsh"]))
    '`(name)`, `(name)`, `(name)` and (name)'
    """
    whole, parts = {_words(text) for text in ids}, {_words(text) for text in names}
    found = {words for words in whole | parts if words}
    found |= {("".join(words),) for words in found if len(words) > 1}
    counts = Counter(word for words in whole for word in set(words) if len(words) > 1)
    common = {word for word, count in counts.items() if count > 1 and count > len(whole) / 2}
    told = {word for words in whole for word in words if len(words) > 1 and len(word) > 2 and not word.isdigit()}
    told = told - common | {word for words in parts for word in words if len(word) > 1 or not word.isascii()}
    found |= {(word,) for word in told}
    under: dict[str, set[tuple[str, ...]]] = {}
    for words in found:
        under.setdefault(words[0], set()).add(words)
    return {first: frozenset(all_words) for first, all_words in under.items()}


def struck_out(text: str, names: Names) -> str:
    """Return a text without the names; a text that holds none comes back as it is."""
    if not names:
        return text
    plain = unicodedata.normalize("NFC", text)
    cuts = list(_cuts(plain, names))
    if not cuts:
        return text
    told, at = "", 0
    for start, end in cuts:
        told, at = told + plain[at:start] + STRUCK, end
    return told + plain[at:]


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.casefold() for word in _WORD.findall(unicodedata.normalize("NFC", text)))


def _cuts(text: str, names: Names) -> Iterator[tuple[int, int]]:
    spans = [found.span() for found in _WORD.finditer(text)]
    words = [text[start:end].casefold() for start, end in spans]
    index = 0
    while index < len(words):
        length = max(
            (len(name) for name in names.get(words[index], ()) if tuple(words[index : index + len(name)]) == name),
            default=0,
        )
        start, end = spans[index]
        is_cut_off = text[end : end + 1] == "…"  # the rest of the word is not known: it may be the head of a name
        if length or is_cut_off or _is_within(words[index], names):
            yield start, spans[index + max(length, 1) - 1][1]
        index += max(length, 1)


def _is_within(word: str, names: Names) -> bool:
    """Whether a longer word holds a name."""
    return any(
        (word[start : start + length],) in names.get(word[start : start + length], ())
        for length in _WITHIN
        for start in range(len(word) - length + 1)
    )
