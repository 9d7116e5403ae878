"""People and their records. A medical entry has a closed shape: health answers have no place in it."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.masks import Particulate
from progdoc.model.description.scalars import (
    PROTOCOLS,
    AgentName,
    Duration,
    Id,
    IsoDate,
    LanguageCode,
    Number,
    ProtocolName,
    Text,
    YesNo,
)
from progdoc.model.description.workplace import Gear

__all__ = [
    "AppendixDGiven",
    "Change",
    "FitTest",
    "IssuedMask",
    "MedicalEntry",
    "MedicalLimit",
    "Person",
    "ReadEntry",
    "Recommendation",
    "ReevaluateWhen",
    "Reevaluation",
    "Result",
    "ReturnedMask",
    "SurveillanceEntry",
    "Topic",
    "TrainingEntry",
]


class Recommendation(Choice):
    """What the written medical recommendation says."""

    CLEARED = "cleared"
    WITH_LIMITS = "cleared-with-limits"
    NOT_CLEARED = "not-cleared"


class MedicalLimit(Choice):
    """Limits on mask use; a fixed list, so that no reason can be written down."""

    POWERED_ONLY = "powered-mask-only"
    NO_NEGATIVE_PRESSURE = "no-negative-pressure"
    NO_SCBA = "no-scba"
    LIGHT_WORK_ONLY = "light-work-only"
    LIMITED_TIME = "limited-time"
    NO_HEAT = "no-hot-work-places"
    NO_EMERGENCY = "no-emergency-use"


class ReevaluateWhen(Choice):
    """What brings a wearer back to the professional, 29 CFR 1910.134(e)(7)."""

    SYMPTOMS = "symptoms-reported"
    TOLD = "professional-supervisor-or-officer-asks"
    FOUND = "fit-test-or-evaluation-shows-need"
    CHANGED = "work-becomes-harder-on-the-body"


class Reevaluation(Described):
    """That a wearer has to be evaluated again. Why, only from a fixed list; what was told stays untold."""

    date: IsoDate = Field(title="Date", description="Since when.", examples=["2026-05-11"])
    because: ReevaluateWhen | None = said("Because", "What called for it.", "professional-supervisor-or-officer-asks")


class MedicalEntry(Described):
    """One written recommendation by the physician or other licensed health care professional."""

    date: IsoDate = Field(title="Date", description="Of the recommendation.", examples=["2026-02-03"])
    recommendation: Recommendation = Field(
        title="Recommendation",
        description="cleared, cleared-with-limits or not-cleared.",
        examples=["cleared"],
    )
    limits: tuple[MedicalLimit, ...] = said("Limits", "Limits on mask use.", ["powered-mask-only"], ())
    next_review: IsoDate | None = said("Next review", "If the professional set one.", "2027-02-03")
    follow_up_pending: YesNo = said("Follow-up pending", "Is an examination still to come?", "no", False)
    copy_given: YesNo | None = said("Copy given", "The recommendation says that the worker has a copy.", "yes")
    reevaluate: tuple[Reevaluation, ...] = said(
        "Re-evaluate", "What called for another evaluation after this one, with its date.", [{"date": "2026-05-11"}], ()
    )


class SurveillanceEntry(Described):
    """One examination that the standard of an agent asks for; what was found stands nowhere here."""

    agent: AgentName = Field(title="Agent", description="For which agent's standard it is.", examples=["lead"])
    date: IsoDate = Field(title="Date", description="Of the examination, or of the refusal.", examples=["2026-02-03"])
    declined: YesNo = said("Declined", "It was offered free of charge, and the worker did not want it.", "no", False)


class Result(Choice):
    PASS = "pass"
    FAIL = "fail"


class FitTest(Described):
    """One fit test."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-02-17"])
    mask: Id = Field(title="Mask", description="The mask's id.", examples=["half-mask"])
    size: Text | None = said("Size", "The size tested.", "M")
    protocol: ProtocolName | None = said("Protocol", f"The Appendix A protocol: {', '.join(PROTOCOLS)}.", "saccharin")
    tester: Text | None = said("Tester", "Who gave the test.", "Ada Brook")
    screened: YesNo | None = said("Screened", "Did the wearer taste or smell the screening dose?", "yes")
    result: Result | None = said("Result", "pass or fail.", "pass")
    fit_factor: Number | None = said("Fit factor", "Overall fit factor of a quantitative test.", "1240")
    readings: tuple[Number, ...] = said(
        "Readings",
        "The fit factor of every reading, in the order of the protocol, the grimace included where it is measured.",
        ["310", "280", "250", "265", "240", "85", "300", "320"],
        (),
    )
    filters: Particulate | None = said("Filters", "The class of the filters fitted in the test.", "P100")
    gear: tuple[Gear, ...] = said(
        "Gear", "What else was worn in the test; or: none.", ["safety-glasses", "hard-hat"], ()
    )
    unpowered: YesNo | None = said(
        "Unpowered", "A powered or air-supplied facepiece: tested in negative-pressure mode?", "yes"
    )
    enclosure: YesNo | None = said("Enclosure", "Irritant smoke: was a hood or other enclosure used?", "no")
    reacted_after: YesNo | None = said(
        "Reacted after", "Irritant smoke: did the wearer, unmasked after the test, react to the same smoke?", "yes"
    )
    retest: YesNo | None = said(
        "Retest", "Was it made after a failed test of the same day, the mask refitted or chosen anew?", "yes"
    )
    nothing_before: Duration | None = said(
        "Nothing before", "How long before it nothing was eaten, smoked or chewed, and only water drunk.", "15 min"
    )
    recording: Text | None = said("Recording", "Where the strip chart or printout is kept.", "fit-2026-02.pdf")


class ChangeKind(Choice):
    SCAR = "scar"
    DENTAL = "dental"
    SURGERY = "surgery"
    WEIGHT = "weight"
    FIT_UNACCEPTABLE = "fit-unacceptable"


class Change(Described):
    """A change of the face that may spoil the fit, seen or told; it ends the earlier fit test."""

    date: IsoDate = Field(title="Date", description="When it was told or seen.", examples=["2026-04-02"])
    kind: ChangeKind = Field(
        title="Kind",
        description="scar, dental, surgery, weight or fit-unacceptable.",
        examples=["dental"],
    )


class Topic(Choice):
    """The seven topics of 29 CFR 1910.134(k)(1)."""

    WHY_AND_FIT = "why-and-fit"
    LIMITS = "limits-and-capabilities"
    EMERGENCIES = "emergencies"
    INSPECT_WEAR_CHECK = "inspect-wear-and-check"
    MAINTENANCE_STORAGE = "maintenance-and-storage"
    MEDICAL_SIGNS = "medical-signs"
    STANDARD = "the-standard"


class TrainingEntry(Described):
    """One training."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-02-17"])
    by: Text | None = said("By", "Who trained.", "Ada Brook")
    topics: tuple[Topic, ...] = said("Topics", "Which of the seven topics.", ["why-and-fit"], ())
    knowledge_shown: YesNo | None = said("Knowledge shown", "Did the person show that they know it?", "yes")
    language: Text | None = said("Language", "In which language.", "English")
    elsewhere: YesNo = said("Elsewhere", "Given by an earlier employer.", "no", False)


class AppendixDGiven(Described):
    """The information for voluntary wearers, given to this person."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-02-17"])
    how: Text | None = said("How", "On paper, by screen or read out.", "read out by Ada Brook")


class ReadEntry(Described):
    """One revision of the program that this person has read and signed for."""

    revision: Text = Field(title="Revision", description="The revision's number.", examples=["2026.1"])
    date: IsoDate = Field(title="Date", description="When it was signed.", examples=["2026-03-02"])


class IssuedMask(Described):
    """The mask and size a person wears."""

    mask: Id = Field(title="Mask", description="The mask's id.", examples=["half-mask"])
    size: Text | None = said("Size", "The size worn.", "M")
    since: IsoDate | None = said("Since", "When it was handed out.", "2026-02-17")
    kit: Text | None = said("Kit", "What was handed out with it.", "2 discs, hard box, wipes")


class ReturnedMask(Described):
    """A mask that a person gave back."""

    date: IsoDate = Field(title="Date", description="When it was given back.", examples=["2026-10-30"])
    mask: Id = Field(title="Mask", description="The mask's id.", examples=["half-mask"])
    size: Text | None = said("Size", "The size that was worn.", "M")


class Person(Described):
    """Someone who wears a mask."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["jo-marsh"])
    name: Text | None = said("Name", "The person's name.", "Jo Marsh")
    group: Id | None = said("Group", "The id of the group of people they belong to.", "volunteers")
    job: Text | None = said("Job", "What they do.", "Foreman")
    own_language: LanguageCode | None = said(
        "Own language", "The language they read best, by its code: all papers come in it too, and their card.", "es"
    )
    requested: IsoDate | None = said(
        "Requested", "When a mask was asked for or prescribed for them, before anything else.", "2026-01-12"
    )
    consented: IsoDate | None = said(
        "Consented", "When they signed the consent form of their group, where it has one.", "2026-01-15"
    )
    left: IsoDate | None = said(
        "Left", "The day from which they work here no more, or wear no mask any more; their records stay.", "2026-10-30"
    )
    masks: tuple[IssuedMask, ...] = said("Masks", "What they wear, and the size.", [{"mask": "half-mask"}], ())
    returned: tuple[ReturnedMask, ...] = said("Returned", "What they gave back, newest anywhere.", [], ())
    hair_rule_accepted: IsoDate | None = said(
        "Hair rule accepted", "When they accepted the rule on facial hair.", "2026-02-17"
    )
    hair_in_seal: YesNo | None = said(
        "Hair in the seal", "When last looked at: does hair reach the seal or a valve of the mask?", "no"
    )
    clean_shaven: YesNo | None = said("Clean-shaven", "When last looked at: is the face clean-shaven?", "yes")
    spectacles: YesNo | None = said("Spectacles", "Do they need corrective glasses at work?", "no")
    lens_kit: YesNo | None = said("Lens kit", "Have they a lens kit for the full facepiece?", "yes")
    medical: tuple[MedicalEntry, ...] = said("Medical", "Recommendations, newest anywhere.", [], ())
    surveillance: tuple[SurveillanceEntry, ...] = said(
        "Surveillance",
        "Examinations that the standards of agents ask for, without anything that was found.",
        [{"agent": "lead", "date": "2026-02-03"}],
        (),
    )
    changes: tuple[Change, ...] = said("Changes", "Changes that may spoil the fit.", [], ())
    fit_tests: tuple[FitTest, ...] = said("Fit tests", "Tests, newest anywhere.", [], ())
    training: tuple[TrainingEntry, ...] = said("Training", "Trainings, newest anywhere.", [], ())
    appendix_d: AppendixDGiven | None = said(
        "Appendix D", "When the information for voluntary wearers was given.", {"date": "2026-02-17"}
    )
    has_read: tuple[ReadEntry, ...] = said(
        "Has read",
        "Which revisions of the program they signed to have read, newest anywhere.",
        [{"revision": "2026.1", "date": "2026-03-02"}],
        (),
    )
