"""What the firm does on a calendar of its own: at an interval, in a season, on weekdays, once a shift; and who set it.

An entry is a policy or a practice and never law. What the law sets is judged where it stands, whatever is said here.
"""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.clock import ClockTime
from progdoc.model.description.scalars import Id, Interval, IsoDate, Text

__all__ = ["CalendarEntry", "Month", "Months", "PerWhat", "Routine", "Weekday"]


class Routine(Choice):
    """What comes round."""

    MEDICAL_REVIEW = "medical-review"
    FIT_TEST = "fit-test"
    TRAINING = "training"
    DRILL = "drill"
    CONSULTATION = "consultation"
    EVALUATION = "evaluation"
    INSPECTION = "inspection"
    CLEANING = "cleaning"
    STOCK_COUNT = "stock-count"
    FLOW_TEST = "flow-test"
    CALIBRATION = "calibration"
    AIR_TEST = "air-test"
    SORBENT_CHANGE = "sorbent-change"
    FILTER_CHANGE = "filter-change"
    AIR_MONITORING = "air-monitoring"
    RECORDS_REVIEW = "records-review"


class Month(Choice):
    """A month of the year."""

    JANUARY = "January"
    FEBRUARY = "February"
    MARCH = "March"
    APRIL = "April"
    MAY = "May"
    JUNE = "June"
    JULY = "July"
    AUGUST = "August"
    SEPTEMBER = "September"
    OCTOBER = "October"
    NOVEMBER = "November"
    DECEMBER = "December"


class Weekday(Choice):
    """A day of the week."""

    MONDAY = "Monday"
    TUESDAY = "Tuesday"
    WEDNESDAY = "Wednesday"
    THURSDAY = "Thursday"
    FRIDAY = "Friday"
    SATURDAY = "Saturday"
    SUNDAY = "Sunday"


class PerWhat(Choice):
    """What it is done once for, instead of once in a time."""

    SHIFT = "shift"
    USE = "use"
    CALL_OUT = "call-out"


class Months(Described):
    """Some months of each year in a row, over the turn of the year too."""

    first: Month = Field(title="First", description="The first month.", examples=["January"])
    last: Month = Field(title="Last", description="The last month, whole.", examples=["September"])


class CalendarEntry(Described):
    """One thing that comes round by a policy or a practice of the firm."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["meter-check"])
    routine: Routine = Field(
        title="Routine", description="What comes round, of a closed list.", examples=["calibration"]
    )
    name: Text | None = said("Name", "What people call it.", "Bump test of the gas meter")
    every: Interval | None = said("Every", "The interval from one to the next.", "6 months")
    window: Months | None = said(
        "Window", "Once a year, within these months.", {"first": "January", "last": "September"}
    )
    weekdays: tuple[Weekday, ...] = said("Weekdays", "The days of the week on which it is done.", ["Monday"], ())
    once_per: PerWhat | None = said("Once per", "shift, use or call-out.", "shift")
    at: tuple[ClockTime, ...] = said("At", "The times of day.", ["07:30"], ())
    season: Months | None = said("Season", "It is done in these months only.", {"first": "October", "last": "March"})
    policy: Id | None = said("Policy", "Id of the policy that asks for it.", "host-rules")
    set_by: Text | None = said("Set by", "Who set it, where no policy did.", "Officer, with the maker's manual")
    by: Text | None = said("By", "Who does it.", "Jo Marsh")
    whom: Text | None = said("For whom", "Which people, where not all.", "Interior crew")
    groups: tuple[Id, ...] = said("Groups", "Ids of the groups of people it is for.", ["volunteers"], ())
    masks: tuple[Id, ...] = said("Masks", "Ids of the masks it is about.", ["scba"], ())
    posts: tuple[Id, ...] = said("Posts", "Ids of the posts or vehicles it is about.", ["engine-1"], ())
    kept_for: Interval | None = said("Kept for", "How long the record of it is kept.", "5 years")
    last_done: IsoDate | None = said("Last done", "When it was last done.", "2026-05-04")
