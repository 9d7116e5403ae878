"""Which step comes before which, and how soon or how late after it, as a policy sets it."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Duration, Interval

__all__ = ["UNRECORDED", "OrderRule", "Step"]


class Step(Choice):
    """A step on the way to wearing a mask, or what must not come shortly before one."""

    CLEARANCE = "medical-clearance"
    TRAINING = "training"
    FIT_TEST = "fit-test"
    READING = "reading-the-program"
    SMOKING = "smoking"
    EATING = "eating"


class OrderRule(Described):
    """One step before another; with a longest or a least time between them."""

    first: Step = Field(title="First", description="What comes first.", examples=["training"])
    then: Step = Field(title="Then", description="What comes after it.", examples=["fit-test"])
    within: Interval | None = said("Within", "The longest time from the first to the other.", "60 days")
    after: Interval | None = said("After", "The least time from the first to the other.", "5 days")
    wait: Duration | None = said("Wait", "The least time on the same day, as after smoking or eating.", "15 min")


UNRECORDED = (Step.SMOKING, Step.EATING)  # a fit test's record says how long there was nothing of them; no other does
