"""What a fit test record prints of its protocol: the exercises in turn, the masks it may test, what passes.

The steps come from `catalogue/tables/fit_protocols.yaml`; a protocol that may test none of the firm's masks has no
form.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.core.numbers import stated_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said_in
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.in_force_words import policy_reach_words
from progdoc.document.blocks.order_blocks import waits_before_fit_test
from progdoc.model.description.masks import Mask
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.words import label_of
from progdoc.rules.judged.figure_results import InForce, Setter
from progdoc.rules.judged.published import FitProtocol
from progdoc.rules.judged.record_results import NamedProtocol, TestedMask
from progdoc.rules.judged.result import Judged

__all__ = ["Entry", "protocol_lists", "protocols_in_use"]

Entry = dict[str, str]  # "id", "label", and more words of one thing


def protocols_in_use(judged: Judged, language: Language = ENGLISH) -> tuple[Entry, ...]:
    """Return the protocols that the firm names and that may test one of its masks."""
    return tuple(_protocol(named, judged, language) for named in _in_use(judged).values())


def _in_use(judged: Judged) -> dict[str, NamedProtocol]:
    return {named.protocol.id: named for named in judged.protocols if named.masks}


def protocol_lists(judged: Judged, protocol: str, language: Language = ENGLISH) -> dict[str, tuple[Entry, ...]]:
    """Return the lists of one protocol: its exercises, the masks it tests, their sizes."""
    named = _in_use(judged)[protocol]
    rule, masks = named.protocol, [tested.mask for tested in named.masks]
    say = language.say
    sizes = dict.fromkeys(size for mask in masks for size in mask.sizes)
    return {
        "cautions": (
            {"id": "stop", "label": language.say("Stop: %(when)s", when=language.say(rule.stop_when))},
            *_numbered(map(language.say, rule.notes)),
        ),
        "exercises": tuple(_exercises(rule, language)),
        "test_masks": tuple({"id": mask.id, "label": language.own(_made(mask))} for mask in masks),
        "test_sizes": tuple({"id": size, "label": size} for size in sizes),
        "rests": (*(_rest(time, language) for time in _rests(judged, rule)), {"id": "", "label": say("less: wait")}),
        "filter_classes": tuple({"id": name, "label": name} for name in _classes(judged, masks)),
    }


def _classes(judged: Judged, masks: Iterable[Mask]) -> tuple[str, ...]:
    """Return the classes of the particulate filters that masks are fitted with, in the order of their names."""
    parts = [judged.index.filters[name][1] for mask in masks for name in mask.filters if name in judged.index.filters]
    found = {part.particulate for part in parts} | {mask.built_in_filter for mask in masks}
    return tuple(sorted(one.value for one in found if one is not None))


def _rest(time: str, language: Language) -> Entry:
    return {"id": time, "label": language.say("at least %(time)s, but for water", time=language.measure(time))}


def _rests(judged: Judged, protocol: FitProtocol) -> tuple[str, ...]:
    """Return how long nothing is eaten or smoked before a test, by the law and by policies, the shortest first."""
    by_law = judged.figures.in_force["nothing-before-taste-test"]
    found = {wait.printed: in_unit(wait, "min") for wait in waits_before_fit_test(judged)}
    if protocol.is_by_taste and isinstance(by_law.value, Quantity):
        found[by_law.printed] = in_unit(by_law.value, "min")
    return tuple(sorted(found, key=lambda time: found[time]))


def _protocol(named: NamedProtocol, judged: Judged, language: Language) -> Entry:
    say, protocol = language.say, named.protocol
    name = say(protocol.name)
    averaging = say("Overall fit factor: n ÷ (1/F1 + 1/F2 + … + 1/Fn), F the n readings that count")
    return {
        "id": protocol.id,
        "label": name,
        "short": name.partition(" (")[0],
        "steps": protocol.steps,
        "fitted_with": say(protocol.fitted_with),
        "qualitative": "" if protocol.is_quantitative else "yes",
        "quantitative": "yes" if protocol.is_quantitative else "",
        "squeezed": "yes" if "squeezes" in protocol.screening else "",
        "has_classes": "yes" if _classes(judged, [tested.mask for tested in named.masks]) else "",
        "without_classes": "" if _classes(judged, [tested.mask for tested in named.masks]) else "yes",
        "smoke": "yes" if protocol.id == "irritant-smoke" else "",
        "screened_after": "yes" if protocol.screening.startswith("Before:") else "",
        "rested": "yes" if _rests(judged, protocol) else "",
        "screening": say(protocol.screening),
        "averaging": f"{averaging} ({say(protocol.averaging_basis)})." if protocol.is_quantitative else "",
        "pass_levels": ", ".join(dict.fromkeys(w for one in named.masks for w in _pass_levels(one, judged, language))),
    }


def _made(mask: Mask) -> str:
    made = " ".join(part for part in (mask.make, mask.model, mask.style) if part)
    label = label_of(mask)
    return label if not made or made == label else f"{label}: {made}"


def _pass_levels(tested: TestedMask, judged: Judged, language: Language) -> Iterator[str]:
    """Yield what a mask passes at, and who asks for it where a policy does; for some, what it passes at for them."""
    say, facepiece = language.say, tested.mask.facepiece
    kind = say(facepiece.value.replace("-", " ") if facepiece else "mask")

    def told(level: InForce, whom: str = "") -> str:
        by = f", {say('by %(origin)s', origin=said_in(language, in_quotes(level.origin)))}"
        return f"{stated_text(level.number)} ({kind}{by if level.setter is Setter.POLICY else ''}{whom})"

    yield told(tested.pass_level)
    for policy, level in tested.higher:
        reach = said_in(language, policy_reach_words(policy, judged.description))
        yield told(level, f", {say('for %(reach)s', reach=reach)}")


def _numbered(texts: Iterable[str]) -> Iterable[Entry]:
    return ({"id": str(n), "label": text} for n, text in enumerate(texts, 1))


def _exercises(protocol: FitProtocol, language: Language) -> Iterable[Entry]:
    """Yield a line for every reading of a quantitative test, or for every exercise of a qualitative one."""
    say = language.say
    for n, exercise in enumerate(protocol.exercises, 1):
        seconds = f"{exercise.seconds} s"
        time = say("about %(time)s", time=seconds) if exercise.is_about else seconds
        readings = exercise.readings if protocol.is_quantitative else 1
        for reading in range(max(readings, 1)):
            which = f", {say('reading %(number)s', number=reading + 1)}" if readings > 1 else ""
            yield {
                "id": f"{n}.{reading + 1}",
                "label": f"{n}. {say(exercise.name)}{which}",
                "time": time if exercise.seconds else "",
                "counts": say(("yes" if reading < exercise.counted else "no") if readings else "no reading"),
                "is_read": "yes" if readings else "",
            }
