"""How a text is cut into clauses, and how a list of words is looked for in one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache, lru_cache
from itertools import groupby
from typing import Protocol

__all__ = ["TEXTS_KEPT", "Pattern", "Words", "as_read", "clauses_of", "says_no_more", "sought", "word_pattern"]

_CLAUSE = re.compile(
    r"[.;:!?()](?:\s|$)|,\s(?!who\b|which\b)|\s[–—-]\s|(?<!\ball )\bbut\b|\b(?:and then|and the)\b", re.IGNORECASE
)
_FEW = 3  # words: a clause as short as that names who or when, and nothing that was found
TEXTS_KEPT = 16_384  # texts: the same ones are asked about again, by several checks and for a second description
_LITERAL = re.compile(r"[\x00-#%-)+-\]_-\x7f]+")  # all of ASCII but *, ^ and $
# What stands for an "i" or an "s" where the case of letters is ignored, and is none in small letters.
_SMALL = str.maketrans({"\u0130": "i", "\u0131": "i", "\u017f": "s"})
# Letters of other scripts that are read as ours, and what stands between letters and is not seen: Unicode UTS #39, its
# table of confusables, as far as small words of ours go.
_LOOK_ALIKE = str.maketrans(
    "\u0430\u0435\u043e\u0440\u0441\u0443\u0445\u0456\u0458\u0455\u0501\u051b\u051d\u04bb\u03bf\u03b1\u03bd\u03c1\u03b9\u03ba\u03c5"
    "\u0410\u0412\u0415\u041a\u041c\u041d\u041e\u0420\u0421\u0422\u0425\u0406\u0408\u0405"
    "\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c\u039d\u039f\u03a1\u03a4\u03a5\u03a7",
    "aeopcyxijsdqwhoavpikuABEKMHOPCTXIJSABEZHIKMNOPTYX",
)
_UNSEEN = re.compile("[\u00ad\u034f\u180e\u200b-\u200f\u2060-\u2064\ufeff]")
_WORDS = re.compile(r"\w+")
_OURS = re.compile("[A-Za-z]")
_OF_LETTERS = re.compile(r"[A-Za-z0-9 ,'-]*[A-Za-z0-9]\.?")  # a word without signs of a pattern
_ALL = re.compile(r"(?s:.*)")
_BEGINNING = re.compile(r"[a-z0-9_]{0,3}")
_START = 3  # letters by which a word is told from most others
_APART = 4  # letters in a row, each by itself: a word
_SET_APART = re.compile(r"(?<![^ ])[^\W\d_](?: [^\W\d_]){3}(?![^ ])")


def as_read(text: str) -> str:
    """Return a text as its reader sees it: look-alike letters in a word of ours as ours, letters set apart together.

    >>> as_read("N\u043eb\u043edy"), as_read("N o b o d y cleans"), as_read("5 \u03bcg; \u041d\u0435\u0442")
    ('Nobody', 'Nobody cleans', '5 \u03bcg; \u041d\u0435\u0442')
    """
    if not text.isascii():
        text = _UNSEEN.sub("", text)
        text = _WORDS.sub(_in_one_script, text) if _OURS.search(text) else text
    return _put_together(text)


def _put_together(text: str) -> str:
    if not _SET_APART.search(text):
        return text
    words: list[str] = []
    for is_letter, row in groupby(text.split(" "), key=lambda word: len(word) == 1 and word.isalpha()):
        letters = list(row)
        words += ["".join(letters)] if is_letter and len(letters) >= _APART else letters
    return " ".join(words)


def _in_one_script(word: re.Match[str]) -> str:
    ours = word[0].translate(_LOOK_ALIKE)
    return ours if ours.isascii() else word[0]


@lru_cache(maxsize=TEXTS_KEPT)
def clauses_of(text: str) -> tuple[str, ...]:
    """Return the clauses of a text, with one space between words.

    >>> clauses_of("Out of the room;  nobody goes back, ever")
    ('Out of the room', 'nobody goes back', 'ever')
    """
    flat = " ".join(as_read(text).replace("’", "'").split())
    return tuple(clause for clause in _CLAUSE.split(flat) if clause.strip())


def says_no_more(rest: Iterable[str]) -> bool:
    """Return whether the clauses that are left are too short to say more than who or when.

    >>> says_no_more(["Ada Brook"]), says_no_more(["Ada Brook washes them"])
    (True, False)
    """
    return not any(len(clause.split()) > _FEW or re.search(r"\d", clause) for clause in rest)


class Pattern(Protocol):
    """What is asked of the pattern of a word."""

    def search(self, text: str, start: int = 0, /) -> re.Match[str] | None: ...

    def match(self, text: str, /) -> re.Match[str] | None: ...


class _Plain:
    """A word that stands for itself, found as `word_pattern` finds it: most do, and none of them is compiled."""

    def __init__(self, word: str, joint: str) -> None:
        self._word, self._is_whole = word.removesuffix(".").lower(), word.endswith(".")
        self._before, self._behind = f"_'{joint}", f"_{joint}"

    def search(self, text: str, start: int = 0, /) -> re.Match[str] | None:
        at = _begun(text)[0].find(self._word, start)
        while at >= 0 and not self._stands(text, at):
            at = _begun(text)[0].find(self._word, at + 1)
        return self._found(text, at) if at >= 0 else None

    def match(self, text: str, /) -> re.Match[str] | None:
        is_there = _begun(text)[0].startswith(self._word) and self._stands(text, 0)
        return self._found(text, 0) if is_there else None

    def _stands(self, text: str, at: int) -> bool:
        before, behind = text[at - 1 : at], text[at + len(self._word) : at + len(self._word) + 1]
        is_begun = before.isalnum() or (before != "" and before in self._before)
        goes_on = self._is_whole and (behind.isalnum() or (behind != "" and behind in self._behind))
        return not is_begun and not goes_on

    def _found(self, text: str, at: int) -> re.Match[str] | None:
        return _ALL.match(text, at, at + len(self._word))


def sought(word: str, is_alone: bool = False) -> Pattern:
    """Return the pattern of one word, as `word_pattern` makes it.

    >>> [found[0] for word in ("post.", "by p*") if (found := sought(word).search("Sent by Post"))]
    ['Post', 'by Post']
    """
    if _OF_LETTERS.fullmatch(word):
        return _Plain(word, "-" if is_alone else "")
    return word_pattern([word], is_alone)


class Words:
    """A list of words that is looked for in many texts, each word by the pattern that is made of it.

    It finds what one pattern of them all would. But a list has hundreds of words, and a text begins few of them: only
    these are looked at, and compiled when a text first has their letters. Every pattern begins where a word does.

    >>> words = Words(["by post", "post"])
    >>> words.search("Sent by Post")[0], words.search("Handed out")
    ('by Post', None)
    """

    def __init__(self, words: Iterable[str], made: Callable[[str], Pattern] = sought) -> None:
        self._by_start: dict[str, list[tuple[int, str]]] = {}
        for number, word in enumerate(words):
            self._by_start.setdefault(_start_of(word), []).append((number, word))
        self._made = made
        self._compiled: dict[str, Pattern] = {}

    def search(self, text: str, start: int = 0) -> re.Match[str] | None:
        """Return where one of the words stands first; of two at one place, the one that is listed first."""
        first = None
        for pattern in self._likely(text):
            found = pattern.search(text, start)
            if found and (first is None or found.start() < first.start()):
                first = found
        return first

    def match(self, text: str) -> re.Match[str] | None:
        """Return the word that a text begins with."""
        return next((found for pattern in self._likely(text) if (found := pattern.match(text))), None)

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """Yield each place where one of the words stands, one after the other."""
        found = self.search(text)
        while found:
            yield found
            found = self.search(text, found.end())

    def _likely(self, text: str) -> Iterator[Pattern]:
        small, starts = _begun(text)
        found = [one for start in self._by_start.keys() & starts for one in self._by_start[start]]
        for _, word in sorted(found) if len(found) > 1 else found:
            if _letters_of(word) in small:
                pattern = self._compiled.get(word)
                if pattern is None:
                    pattern = self._compiled[word] = self._made(word)
                yield pattern


def _start_of(word: str) -> str:
    """Return the first letters of a word, as far as `_begun` knows of them; none where a text may begin otherwise."""
    start = word[:_START].lower()
    if start.isalpha() and start.isascii():
        return start
    begun = _BEGINNING.match(word.removeprefix("^").lower())
    return begun[0] if begun else ""


@lru_cache(maxsize=TEXTS_KEPT)
def _begun(text: str) -> tuple[str, frozenset[str]]:
    """Return a text in small letters, and the first one, two and three letters of each of its words."""
    small = (text if text.isascii() else text.translate(_SMALL)).lower()
    words = {word[:_START] for word in _WORDS.findall(small)}
    return small, frozenset({"", *words, *(word[:2] for word in words), *(word[:1] for word in words)})


@cache
def _letters_of(word: str) -> str:
    """Return letters that a text has wherever it has a word: the longest part of it that stands for itself."""
    return max(_LITERAL.findall(word.removesuffix(".").lower()), key=len, default="")


def word_pattern(words: Iterable[str], is_alone: bool = False) -> re.Pattern[str]:
    """Match words where they begin, or whole where a full stop ends them; a star is any word; without any, nothing.

    `^` stands where a clause begins and `$` where it ends. Words that are `is_alone` are no part
    of one with hyphens.

    >>> [bool(word_pattern(["^by post$"]).search(text)) for text in ("by post", "By post and hand")]
    [True, False]
    >>> [bool(word_pattern(["not."], True).search(text)) for text in ("Do not use", "A do-not-use tag")]
    [True, False]
    """
    joint = "-" if is_alone else ""
    parts = [rf"{_escaped(word[:-1])}(?![\w{joint}])" if word.endswith(".") else _escaped(word) for word in words]
    return re.compile(rf"(?<![\w'{joint}])(?:{'|'.join(parts)})" if parts else r"(?!)", re.IGNORECASE)


def _escaped(words: str) -> str:
    return re.escape(words).replace(r"\*", r"\w+").replace(r"\^", r"^\s*").replace(r"\$", r"\s*$")
