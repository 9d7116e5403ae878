"""Oversight as the firm does it: training, voluntary use, program evaluation and records."""

from pydantic import Field

from progdoc.model.description.adopting import (
    EvaluationParagraph,
    OneOrMore,
    RecordParagraph,
    TrainingParagraph,
    VoluntaryParagraph,
    adopting,
)
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.people import Topic
from progdoc.model.description.scalars import Id, Interval, IsoDate, Text, YesNo

__all__ = ["Consultation", "Evaluation", "Finding", "Records", "SmokeRules", "Training", "VoluntaryUse"]


class RetrainWhen(Choice):
    CHANGED = "work-or-mask-changes"
    SKILL_LOST = "knowledge-or-use-falls-short"
    OTHER_NEED = "any-other-need"


class Training(Described):
    """Training, 29 CFR 1910.134(k)."""

    adopt: OneOrMore[TrainingParagraph] = adopting("(k)")
    by: Text | None = said("By", "Who trains.", "Ada Brook")
    method: Text | None = said("Method", "How.", "Half a day in the workshop, with each wearer's own mask")
    topics: tuple[Topic, ...] = said("Topics", "The seven topics of (k)(1).", ["why-and-fit"], ())
    hazards_covered: YesNo | None = said(
        "Hazards covered", "The agents of each wearer's tasks, in routine and emergency.", "yes"
    )
    knowledge_tested: YesNo | None = said("Knowledge tested", "Each wearer shows that they know the topics.", "yes")
    knowledge_shown: Text | None = said(
        "Knowledge shown",
        "How each wearer shows that they know it.",
        "Puts on, checks and strips the mask; ten questions",
    )
    understood_by_all: YesNo | None = said(
        "Understood by all", "Training is given so that every worker understands it.", "yes"
    )
    understandable: Text | None = said("Understandable", "Language and manner.", "In English and Spanish, by showing")
    before_use: YesNo | None = said("Before use", "Before the first use.", "yes")
    interval: Interval | None = said("Interval", "How often again; at most 12 months.", "12 months")
    again_when: tuple[RetrainWhen, ...] = said("Again when", "What calls for more.", ["work-or-mask-changes"], ())
    supervisors_too: YesNo | None = said(
        "Supervisors too",
        "Who supervises wearers, and who hands out, repairs or adjusts masks, is trained too.",
        "yes",
    )
    earlier_only_if_shown: YesNo | None = said(
        "Earlier training only if shown",
        "Training elsewhere counts only if shown, under 12 months old, on all topics, and the newcomer knows them.",
        "yes",
    )
    earlier_training: Text | None = said(
        "Earlier training",
        "How a newcomer's training elsewhere counts.",
        "Record under 12 months old, and knowledge shown",
    )


class AppendixDHow(Choice):
    ATTACHED = "attached"
    READ_OUT = "read-out"


class VoluntaryUse(Described):
    """Masks that nobody requires, 29 CFR 1910.134(c)(2) and (k)(6)."""

    adopt: OneOrMore[VoluntaryParagraph] = adopting("(k)(6)")
    allowed: YesNo | None = said("Allowed", "May people wear masks nobody requires?", "yes")
    only_without_hazard: YesNo | None = said(
        "Only without hazard", "A mask is worn by choice only where nothing in the air calls for one.", "yes"
    )
    no_hazard: YesNo | None = said(
        "No hazard", "It was judged that wearing such a mask does no harm of its own.", "yes"
    )
    no_hazard_judged_by: Text | None = said("Judged by", "Who judged that the use creates no hazard.", "Ada Brook")
    no_hazard_basis: Text | None = said(
        "Basis", "Why it creates none.", "New dust masks, light work, medical advice offered"
    )
    appendix_d: AppendixDHow | None = said(
        "Appendix D",
        "How everybody who wears a mask by choice gets it: attached (official text in the package) or read-out.",
        "read-out",
    )
    appendix_d_attachment: Id | None = said("Attachment", "The id of the attached text.", "appendix-d")
    appendix_d_to_everybody: YesNo | None = said(
        "To everybody", "Everybody who wears a mask by choice gets the information.", "yes"
    )
    state_text: YesNo | None = said(
        "State text", "Where a state has an information text of its own, everybody gets that one.", "yes"
    )
    appendix_d_by: Text | None = said("Given by", "Who gives the information, and when.", "Ada Brook, at the first day")
    medically_able: YesNo | None = said(
        "Medically able", "For other masks than dust masks: medical ability is made sure.", "yes"
    )
    approved_by: Text | None = said(
        "Approved by", "Who approves that somebody wears a mask by choice.", "The safety office"
    )
    groups: tuple[Id, ...] = said("Groups", "Ids of the groups who may; without it, everybody.", ["staff"], ())
    reasons_recorded: Text | None = said(
        "Reasons recorded", "Where each wish, its reason and the answer are written down.", "Form C-1, safety office"
    )
    fit_tested: YesNo | None = said(
        "Fit-tested", "Beyond the law: a tight-fitting mask worn by choice is fit-tested like a required one.", "yes"
    )
    medical_for_dust_masks: YesNo | None = said(
        "Medical for dust masks", "Beyond the law: medical ability is made sure for dust masks, too.", "yes"
    )
    kept_clean: YesNo | None = said(
        "Kept clean",
        "For other masks than dust masks: cleaned, stored, maintained as required masks are.",
        "yes",
    )


class SmokeRules(Described):
    """What is done when smoke of wildfires comes."""

    looked_up: YesNo | None = said(
        "Looked up", "The smoke is looked up at the start of each shift, and again as it may change.", "yes"
    )
    told: YesNo | None = said("Told", "The crew hears of it, and can tell of trouble, by a way both can use.", "yes")
    trained: YesNo | None = said("Trained", "Whoever works outdoors is trained on smoke, with the state's text.", "yes")
    handed_out: YesNo | None = said("Handed out", "Masks are handed to each in person where smoke is thick.", "yes")


class Consult(Choice):
    FIT = "fit"
    SELECTION = "selection"
    USE = "use"
    MAINTENANCE = "maintenance"


class Finding(Described):
    """A finding of an evaluation, and what was done."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["boxes-missing"])
    date: IsoDate = Field(title="Date", description="When.", examples=["2026-02-20"])
    what: Text = Field(title="What", description="What was found.", examples=["Two storage boxes missing"])
    correction: Text | None = said("Correction", "What is done about it.", "Boxes bought")
    owner: Text | None = said("Owner", "Who sees to it.", "Jo Marsh")
    due: IsoDate | None = said("Due", "By when.", "2026-03-15")
    done: IsoDate | None = said("Done", "When it was done.", "2026-03-10")


class Consultation(Described):
    """Once that wearers were asked how the program works for them."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-03-02"])
    who: tuple[Id, ...] = said("Who", "The ids of those who were asked.", ["jo-marsh"], ())
    consults: tuple[Consult, ...] = said("Consults", "What they were asked about.", ["fit"], ())
    by: Text | None = said("By", "Who asked.", "Ada Brook")
    told: Text | None = said("Told", "What came up; nothing about anybody's health.", "The straps wear out")


class Evaluation(Described):
    """Program evaluation, 29 CFR 1910.134(l)."""

    adopt: OneOrMore[EvaluationParagraph] = adopting("(l)")
    workplace_evaluated: YesNo | None = said(
        "Workplace evaluated",
        "The workplace is looked at, to see that the program is carried out and still works.",
        "yes",
    )
    by: Text | None = said("By", "Who evaluates.", "Ada Brook")
    how: Text | None = said("How", "What is looked at in the workplace.", "Walks each site, watches masks in use")
    occasion: Text | None = said("Occasion", "When.", "At the start of each contract, and in February")
    interval: Interval | None = said("Interval", "If the firm adopts one; the law sets none.", "12 months")
    last: IsoDate | None = said("Last", "The last evaluation.", "2026-02-20")
    consults: tuple[Consult, ...] = said("Consults", "What wearers are asked about.", ["fit"], ())
    consulted_regularly: YesNo | None = said("Consulted regularly", "Wearers are asked regularly.", "yes")
    consulted_how: Text | None = said(
        "Consulted how", "How and how often wearers are asked.", "Every quarter, at the tool-box talk"
    )
    problems_corrected: YesNo | None = said("Problems corrected", "Problems that come up are corrected.", "yes")
    corrected_by: Text | None = said("Corrected by", "Who mends problems, and how fast.", "The officer, in a week")
    findings: tuple[Finding, ...] = said("Findings", "Findings and corrections.", [], ())
    consultations: tuple[Consultation, ...] = said(
        "Consultations", "When wearers were asked, newest anywhere.", [{"date": "2026-03-02", "consults": ["fit"]}], ()
    )


class Records(Described):
    """Records, 29 CFR 1910.134(m)."""

    adopt: OneOrMore[RecordParagraph] = adopting("(m)")
    medical: Text | None = said(
        "Medical",
        "Where medical records are kept and how long, under 29 CFR 1910.1020.",
        "With the professional; recommendations in the locked cabinet",
    )
    medical_per_1910_1020: YesNo | None = said(
        "Under 1910.1020", "Kept and made available as 29 CFR 1910.1020 says; in California, as 8 CCR 3204 does.", "yes"
    )
    fit_tests_recorded: YesNo | None = said(
        "Fit tests recorded",
        "Every fit test is recorded: wearer, kind of test, make, model, style and size, date and result.",
        "yes",
    )
    fit_tests: Text | None = said("Fit tests", "Where fit-test records are.", "Officer's folder, until the next test")
    fit_tests_until_next: YesNo | None = said("Until the next", "Kept until the next fit test.", "yes")
    training_recorded: YesNo | None = said(
        "Training recorded", "Every training is recorded with the names of the trained and the dates.", "yes"
    )
    program_copy: Text | None = said("Program copy", "Where the current program is.", "Site office and workshop")
    open_on_request: YesNo | None = said(
        "Open on request",
        "Workers concerned and OSHA may read and copy the program and these records when they ask.",
        "yes",
    )
    shown_on_request: Text | None = said(
        "Shown on request",
        "To whom: affected workers and the agency.",
        "Any wearer and OSHA, on the same day",
    )
