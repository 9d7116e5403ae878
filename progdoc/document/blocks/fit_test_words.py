"""What a fit test record prints of its protocol: the exercises in turn, the masks it may test, what passes.

The steps come from `catalogue/tables/fit_protocols.yaml`; a protocol that may test none of the firm's masks has no
form.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from progdoc.model.description.masks import Mask
from progdoc.rules.facts import Facts, label_of
from progdoc.rules.in_force.figures import pass_level
from progdoc.rules.in_force.rule_set import Setter
from progdoc.rules.lookup.facepieces import is_tight_fitting
from progdoc.rules.lookup.fit_protocols import fit_protocols, protocol_steps

__all__ = ["Entry", "protocol_lists", "protocols_in_use"]

Entry = dict[str, str]  # "id", "label", and more words of one thing


def protocols_in_use(facts: Facts) -> tuple[Entry, ...]:
    """Return the protocols that the firm names and that may test one of its masks."""
    named = dict.fromkeys(facts.description.procedures.fit_testing.protocols)
    return tuple(_protocol(facts, name) for name in named if name in fit_protocols() and _masks(facts, name))


def protocol_lists(facts: Facts, protocol: str) -> dict[str, tuple[Entry, ...]]:
    """Return the lists of one protocol: its exercises, the masks it tests, their sizes."""
    rule = fit_protocols()[protocol]
    masks = _masks(facts, protocol)
    sizes = dict.fromkeys(size for mask in masks for size in mask.sizes)
    return {
        "cautions": ({"id": "stop", "label": f"Stop: {rule['stop_when']}"}, *_numbered(rule["notes"])),
        "exercises": tuple(_exercises(rule)),
        "test_masks": tuple({"id": mask.id, "label": _made(mask)} for mask in masks),
        "test_sizes": tuple({"id": size, "label": size} for size in sizes),
    }


def _protocol(facts: Facts, name: str) -> Entry:
    protocol = fit_protocols()[name]
    is_qualitative = protocol["kind"] == "qualitative"
    levels = dict.fromkeys(_pass_level(facts, mask) for mask in _masks(facts, name))
    averaging = "Overall fit factor: n ÷ (1/F1 + 1/F2 + … + 1/Fn), F the n readings that count"
    return {
        "id": name,
        "label": protocol["name"],
        "short": protocol["name"].partition(" (")[0],
        "steps": protocol_steps(name),
        "fitted_with": protocol["fitted_with"],
        "qualitative": "yes" if is_qualitative else "",
        "quantitative": "" if is_qualitative else "yes",
        "squeezed": "yes" if "squeezes" in protocol["screening"] else "",
        "screened_after": "yes" if protocol["screening"].startswith("Before:") else "",
        "screening": protocol["screening"],
        "averaging": "" if is_qualitative else f"{averaging} ({protocol['averaging_basis']}).",
        "pass_levels": ", ".join(levels),
    }


def _masks(facts: Facts, protocol: str) -> tuple[Mask, ...]:
    """Return the tight-fitting masks that must be fit tested and that the protocol may test."""
    allowed = fit_protocols()[protocol]["masks"]
    worn = {use.mask for _, task in facts.our_tasks if facts.is_worn(task) for use in task.masks}
    return tuple(
        mask
        for _, mask in facts.masks.values()
        if (mask.id in worn or mask.emergency or mask.escape_only)
        and is_tight_fitting(mask)
        and mask.facepiece in allowed
    )


def _made(mask: Mask) -> str:
    made = " ".join(part for part in (mask.make, mask.model, mask.style) if part)
    label = label_of(mask)
    return label if not made or made == label else f"{label}: {made}"


def _pass_level(facts: Facts, mask: Mask) -> str:
    """Return what a mask passes at, and who asks for it where a policy does."""
    level = pass_level(facts.rules, mask, [task for _, task in facts.tasks_by_mask.get(mask.id, ())])
    kind = mask.facepiece.value.replace("-", " ") if mask.facepiece else "mask"
    by = f", by {level.origin}" if level.setter is Setter.POLICY else ""
    return f"{level.number:g} ({kind}{by})"


def _numbered(texts: Iterable[str]) -> Iterable[Entry]:
    return ({"id": str(n), "label": text} for n, text in enumerate(texts, 1))


def _exercises(protocol: dict[str, Any]) -> Iterable[Entry]:
    """Yield a line for every reading of a quantitative test, or for every exercise of a qualitative one."""
    for n, exercise in enumerate(protocol["exercises"], 1):
        seconds = exercise.get("seconds", exercise.get("about_seconds"))
        about = "about " if "about_seconds" in exercise else ""
        readings = exercise["readings"] if protocol["kind"] == "quantitative" else 1
        for reading in range(max(readings, 1)):
            which = f", reading {reading + 1}" if readings > 1 else ""
            yield {
                "id": f"{n}.{reading + 1}",
                "label": f"{n}. {exercise['name']}{which}",
                "time": f"{about}{seconds} s" if seconds else "",
                "counts": ("yes" if reading < exercise["counted"] else "no") if readings else "no reading",
            }
