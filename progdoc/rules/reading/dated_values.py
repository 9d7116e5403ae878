"""The figures that packs set, joined in the order of the packs, and the rules that rest on them.

A rule names a figure instead of repeating it: `proof: {value: fit-test-interval}`, or `{fit-test-interval}` in its
text, or `figures:` where a check looks at records. Every span of days in which the figures stand still gives one
rule in plain words. A later pack that sets a figure thereby changes every rule that names it, and cites its own
paragraph there; one that writes its own limit at the place of a figure has set that figure too.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import field, replace
from datetime import date, timedelta
from typing import Any

from progdoc.core.citations import Source
from progdoc.core.data_text import FIGURE, with_figures
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.late_dataclass import dataclass
from progdoc.rules.in_force.law_values import figure_of, is_looser
from progdoc.rules.judged.figure_results import LawValue, Stricter
from progdoc.rules.reading.pack import Entry, Pack, citation_of
from progdoc.rules.reading.pack_faults import did_you_mean, pack_fault
from progdoc.rules.requirement import Proof

__all__ = ["Figures"]

_TEXTS = ("duty", "what", "why", "fix", "example")
_PROOFS = {Stricter.LOWER: "at_most", Stricter.HIGHER: "at_least", Stricter.YES: "yes", Stricter.NO: "no"}
_KEPT = ("words", "kind", "stricter", "policy", "program", "binds", "measured")  # by a pack that sets a figure anew


@dataclass(slots=True)
class Figures:
    """What the packs that were read so far say of each figure, the last word last."""

    versions: MutableMapping[str, tuple[LawValue, ...]] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)

    def of_state(self) -> Figures:
        """Return figures of which a state sets its own: whatever it says is not heard elsewhere."""
        return Figures(ChainMap({}, self.versions), self.faults)

    @property
    def all(self) -> tuple[LawValue, ...]:
        return tuple(value for versions in self.versions.values() for value in versions)

    # ---- what a pack sets ------------------------------------------------------------------------------

    def add(self, pack: Pack, entries: Sequence[Entry], sources: Mapping[str, Source]) -> list[tuple[LawValue, Entry]]:
        """Take in a pack's figures, and those that its rules imply; return those that stand in for earlier ones."""
        known = {name: versions[-1] for name, versions in self.versions.items()}
        added = [pair for entry in pack.values for pair in self._set(entry, known, sources, pack.state)]
        for entry in entries if known else ():
            added += self._implied(entry, known, sources, pack.state)
        for value, _ in added:
            self.versions[value.id] = (*self.versions.get(value.id, ()), value)
        return [pair for pair in added if pair[0].id in known]

    def _set(
        self, entry: Entry, known: Mapping[str, LawValue], sources: Mapping[str, Source], state: str
    ) -> Iterator[tuple[LawValue, Entry]]:
        keys, name = entry.keys, entry.keys["id"]
        older = known.get(name)
        if known and older is None:
            what = f"`{name}` is no figure of an earlier pack.{did_you_mean(name, known)}"
            self._fault("PACK-005", entry, what, f"Name one of: {', '.join(sorted(known))}.")
            return
        if older is not None and (other := [key for key in _KEPT if keys.get(key, _of(older, key)) != _of(older, key)]):
            what = f"{name}: {', '.join(f'`{key}`' for key in other)} would make another figure of an earlier pack's."
            fix = "Take it out: a pack sets value, citation and days of a figure that is there."
            self._fault("PACK-004", entry, what, fix)
            return
        given = {key: keys.get(key, _of(older, key) if older else "") for key in _KEPT}
        text = keys.get("value", "")
        try:
            value = LawValue(
                id=name,
                value=figure_of(text, given["kind"]) if text else None,
                text=text,
                citation=str(citation_of(keys["citation"], sources)),
                in_force_from=keys["in_force"],
                in_force_until=keys.get("until"),
                words=given["words"],
                kind=given["kind"],
                stricter=Stricter(given["stricter"]),
                policy=given["policy"],
                program=given["program"],
                binds=given["binds"],
                is_measured=given["measured"] or False,
                state=state,
            )
        except ValueError as error:
            self._fault("PACK-004", entry, f"{name}: {str(error).rstrip('.')}.", "Write it as the earlier packs do.")
            return
        if older is not None and older.value is not None and self._is_loose(value, older, entry):
            return
        yield value, entry

    def _is_loose(self, value: LawValue, older: LawValue, entry: Entry) -> bool:
        if value.value is not None and older.value is not None and not is_looser(older, value.value, older.value):
            return False
        found = value.text or "nothing"
        what = f"{value.id}: {found} is looser than {older.text} ({older.citation})."
        self._fault("PACK-007", entry, what, f"Write {older.text}, or stricter.")
        return True

    def _implied(
        self, entry: Entry, known: Mapping[str, LawValue], sources: Mapping[str, Source], state: str
    ) -> Iterator[tuple[LawValue, Entry]]:
        """A limit that a rule writes out at the place of a figure sets the figure."""
        places = {value.program: value for value in known.values() if value.program}
        for part in entry.keys["proof"].singles():
            older = places.get(part.path)
            if older is None or part.value is None or part.kind != _PROOFS[older.stricter]:
                continue
            try:
                figure = figure_of(part.value, older.kind)
            except ValueError:
                continue  # `rule_faults` says so
            if older.value is not None and is_looser(older, figure, older.value):
                continue  # and so does `loosening_faults`
            anew = replace(
                older,
                value=figure,
                text=part.value,
                citation=str(citation_of(entry.keys["citation"], sources)),
                in_force_from=entry.keys["in_force"],
                in_force_until=entry.keys.get("until"),
                state=state,
            )
            yield anew, entry

    def _fault(self, code: str, entry: Entry, what: str, fix: str) -> None:
        self.faults.append(pack_fault(code, entry.place, what, fix))

    # ---- the rules that rest on them -------------------------------------------------------------------

    def moved(
        self, written: Mapping[str, Mapping[str, Any]], own: Iterable[Entry], anew: Iterable[tuple[LawValue, Entry]]
    ) -> Iterator[Entry]:
        """Yield the earlier rules that rest on a figure which a pack sets anew, citing that pack."""
        taken = {entry.keys["code"] for entry in own}
        for value, source in anew:
            for code, keys in written.items():
                if code in taken or value.id not in _named(keys):
                    continue
                cited = [text for text in (keys["citation"], *keys.get("also", ())) if text != source.keys["citation"]]
                until = {"until": value.in_force_until} if value.in_force_until else {}
                begin = max(keys["in_force"], value.in_force_from)
                changed = {
                    **keys,
                    **until,
                    "in_force": begin,
                    "citation": source.keys["citation"],
                    "also": tuple(cited),
                }
                yield Entry(changed, source.place, is_change=True)

    def resolved(self, entry: Entry) -> list[Entry]:
        """Return a rule with its figures filled in: one for each span of days in which they stand still."""
        keys = entry.keys
        names = _printed(keys)
        unknown = [name for name in _named(keys) if name not in self.versions]
        for name in unknown:
            what = f"{keys['code']}: `{name}` is no figure of the packs.{did_you_mean(name, self.versions)}"
            self._fault("PACK-004", entry, what, f"Name one of: {', '.join(sorted(self.versions))}.")
        if unknown or not names:
            return [] if unknown else [entry]
        found: list[Entry] = []
        spans = _spans([v for name in names for v in self.versions[name]], keys["in_force"], keys.get("until"))
        for first, last in spans:
            values = {name: self._on(name, first) for name in names}
            given = {name: value for name, value in values.items() if value is not None}
            if len(given) == len(values):
                found.append(Entry(_filled(keys, given, first, last), entry.place, entry.is_change, entry.nodes))
        if not found:  # the rule would bind nobody, and nobody would hear of it
            empty = ", ".join(f"`{name}`" for name in names if not any(v.text for v in self.versions[name]))
            what = f"{keys['code']}: nobody sets the figure {empty or names[0]} while the rule is in force."
            self._fault("PACK-004", entry, what, "Set it under `values`, or write the limit out.")
        return found

    def _on(self, name: str, day: date) -> LawValue | None:
        held = [value for value in self.versions[name] if value.holds_on(day) and value.value is not None]
        return held[-1] if held else None


def _of(value: LawValue, key: str) -> Any:
    return value.is_measured if key == "measured" else getattr(value, key)


def _printed(keys: Mapping[str, Any]) -> list[str]:
    """Return the figures that a rule names in its proof and its texts: without them it can't be read."""
    found = [part.value for part in keys["proof"].singles() if part.kind == "value"]
    found += [name for key in _TEXTS for name in FIGURE.findall(keys.get(key, ""))]
    return list(dict.fromkeys(found))


def _named(keys: Mapping[str, Any]) -> list[str]:
    """Return all figures that a rule rests on, those behind its checks among them."""
    return list(dict.fromkeys((*_printed(keys), *keys.get("figures", ()))))


def _spans(values: Iterable[LawValue], begin: date, until: date | None) -> list[tuple[date, date | None]]:
    days = {begin}
    for value in values:
        days.add(value.in_force_from)
        if value.in_force_until is not None:
            days.add(value.in_force_until + timedelta(days=1))
    starts = sorted(day for day in days if day >= begin and (until is None or day <= until))
    if not starts:
        return []
    ends = [*(day - timedelta(days=1) for day in starts[1:]), until]
    return list(zip(starts, ends, strict=True))


def _filled(keys: Mapping[str, Any], values: Mapping[str, LawValue], first: date, last: date | None) -> dict[str, Any]:
    filled = {**keys, "in_force": first, "proof": _proof(keys["proof"], values)}
    filled.pop("until", None)
    if last is not None:
        filled["until"] = last
    printed = {name: value.printed for name, value in values.items()}
    typed = {name: value.text for name, value in values.items()}
    for key in _TEXTS:
        if key in keys:
            filled[key] = with_figures(keys[key], typed if key == "example" else printed)
    return filled


def _proof(proof: Proof, values: Mapping[str, LawValue]) -> Proof:
    """Return a proof with the figure in place of its name."""
    if proof.parts:
        return replace(proof, parts=tuple(_proof(part, values) for part in proof.parts))
    if proof.kind != "value":
        return proof
    value = values[proof.value]
    kind = _PROOFS[value.stricter]
    return Proof(kind, value.program, value.text if kind in ("at_most", "at_least") else None)
