"""The way of a person to a mask and away from it: a form that nobody signed, and steps in no order."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["LIFE_CYCLE_CHECKS"]


def _consent_signed(facts: Facts, subject: Subject) -> CheckResult:
    """Whoever is of a group with a consent form has signed it, and not after the first recommendation."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.consented"
    group = next((one for one in facts.description.groups if one.id == person.group), None)
    if group is None or group.consent_form is None or not group.covered:
        return CheckResult((path,), nothing=said("Their group has no consent form."))
    first = min((entry.date for entry in person.medical), default=None)
    trouble = "" if person.consented is not None else said("that they signed it is not on record")
    if person.consented is not None and first is not None and person.consented > first:
        trouble = said(
            "they signed it on %(consented)s, after the recommendation of %(first)s",
            consented=long_date(person.consented),
            first=long_date(first),
        )
    words = {"group": group.name, "form": group.consent_form, "trouble": trouble}
    return CheckResult((path,), ((path, words),) if trouble else (), (path,))


def _way_in_order(facts: Facts, subject: Subject) -> CheckResult:
    """A mask is asked for, then cleared, then handed out; and once given back it is worn no more.

    Of somebody whose request is on record the way is kept from its beginning: the first recommendation is the first.
    """
    person, path = person_of(facts, subject), person_path(facts, subject)
    cleared = min((entry.date for entry in person.medical), default=None)
    faults = []
    for i, issued in enumerate(person.masks):
        at, asked = f"{path}.masks[{i}]", person.requested
        mask = label_of(facts.masks[issued.mask][1])
        back = max((one.date for one in person.returned if one.mask == issued.mask), default=None)
        if issued.since is not None and asked is not None and issued.since < asked:
            faults.append(
                (
                    at,
                    {
                        "trouble": said(
                            "%(mask)s was handed out before it was asked for, on %(asked)s",
                            mask=mask,
                            asked=long_date(asked),
                        )
                    },
                )
            )
        elif issued.since is not None and asked is not None and cleared is not None and issued.since < cleared:
            faults.append(
                (
                    at,
                    {
                        "trouble": said(
                            "%(mask)s was handed out before the recommendation of %(cleared)s",
                            mask=mask,
                            cleared=long_date(cleared),
                        )
                    },
                )
            )
        if back is not None and (issued.since is None or issued.since < back):
            faults.append(
                (
                    at,
                    {
                        "trouble": said(
                            "%(mask)s was given back on %(back)s, and is still listed as worn",
                            mask=mask,
                            back=long_date(back),
                        )
                    },
                )
            )
    read = (f"{path}.masks", f"{path}.requested", f"{path}.medical", f"{path}.returned")
    shown = read[:1] if person.masks else ()  # a day that is not there breaks no order, and so shows none
    return CheckResult(read, tuple(faults), shown, nothing="" if person.masks else said("They have no mask."))


LIFE_CYCLE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "consent-signed": _consent_signed,
    "way-in-order": _way_in_order,
}
