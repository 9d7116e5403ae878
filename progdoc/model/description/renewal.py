"""What a renewal still asks, and what its worksheet tells that nobody has entered yet.

No words of an answer stand here: they stay on the worksheet, which names workers and is the officer's alone.
"""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Id, YesNo

__all__ = ["RenewalPoint", "RenewalQuestion"]


class RenewalQuestion(Choice):
    """What the worksheet of a renewal asks about."""

    TASKS = "tasks"
    NEW_TASKS = "new-tasks"
    PRODUCTS = "products"
    NEW_PRODUCTS = "new-products"
    EVIDENCE = "evidence"
    PEOPLE = "people"
    NEW_PEOPLE = "new-people"
    SITES = "sites"
    NEW_SITES = "new-sites"
    EMERGENCIES = "emergencies"
    OFFICER = "officer"
    CONTRACTORS = "contractors"
    MASKS = "masks"
    FILTERS = "filters"
    NEW_MASKS = "new-masks"
    LAW = "law"
    EVALUATION = "evaluation"
    OPEN_FINDINGS = "open-findings"
    COMING_YEAR = "coming-year"
    ACCEPTED = "accepted"


class RenewalPoint(Described):
    """One question of the worksheet that is open, or that was answered with something still to be entered."""

    question: RenewalQuestion = Field(
        title="Question", description="What the worksheet asks about.", examples=["new-tasks"]
    )
    about: tuple[Id, ...] = said(
        "About", "Ids of what it asks about; none where it asks one question about all.", ["scrape-sashes"], ()
    )
    to_enter: YesNo = said(
        "To enter", "The worksheet answers it, and the description does not say it yet.", "yes", False
    )
