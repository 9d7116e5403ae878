"""How things are done at this firm, part by part of the standard: medical, fit testing and use."""

from progdoc.model.description.adopting import FitParagraph, MedicalParagraph, OneOrMore, UseParagraph, adopting
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.breathing_air import AirSupply
from progdoc.model.description.emergency_plans import Emergencies
from progdoc.model.description.oversight import Evaluation, Records, SmokeRules, Training, VoluntaryUse
from progdoc.model.description.people import ReevaluateWhen
from progdoc.model.description.scalars import PROTOCOLS, Count, Id, Interval, ProtocolName, Text, YesNo
from progdoc.model.description.upkeep import Cleaning, FilterChanges, Inspecting, Repair, Storage

__all__ = [
    "FitTesting",
    "HairRule",
    "Medical",
    "Procedures",
    "Professional",
    "Questionnaire",
    "SealCheck",
    "Selecting",
    "UseRules",
]


class Selecting(Described):
    """How masks are chosen, 29 CFR 1910.134(c)(1)(i) and (d)."""

    by: Text | None = said(
        "By",
        "The industrial hygienist or other technically competent person who judges the air and approves the masks.",
        "Ada Brook, with Clearfield Hygiene for sampling",
    )
    how: Text | None = said(
        "How",
        "How a mask is chosen for a task.",
        "Before a task starts, its air is sampled or estimated; the mask must cover the highest level",
    )


class MedicalMethod(Choice):
    QUESTIONNAIRE = "questionnaire"
    EXAMINATION = "examination"


class QuestionnaireSource(Choice):
    """Who hands out the official questionnaire of Appendix C."""

    FROM_PROFESSIONAL = "from-the-professional"
    ATTACHED = "attached"


class ForProfessional(Choice):
    """What the professional gets before deciding."""

    MASK = "mask-type-and-weight"
    DURATION = "duration-and-frequency"
    EFFORT = "effort"
    CLOTHING = "other-clothing-and-gear"
    CLIMATE = "temperature-and-humidity"
    PROGRAM = "this-program"
    STANDARD = "the-standard"


class AnsweredAt(Choice):
    """When and where the questions are answered."""

    WORKING_HOURS = "working-hours"
    CONVENIENT = "convenient-time-and-place"


class Professional(Described):
    """The physician or other licensed health care professional (PLHCP)."""

    name: Text | None = said("Name", "Practice or person.", "Northbridge Occupational Health")
    phone: Text | None = said("Phone", "How workers reach them in confidence.", "555-0177")


class Questionnaire(Described):
    """The official questionnaire of Appendix C; its text is not reproduced here."""

    source: QuestionnaireSource | None = said("Source", "from-the-professional or attached.", "from-the-professional")
    attachment: Id | None = said("Attachment", "The id of the attached official text.", "appendix-c")
    of_the_state: YesNo | None = said(
        "Of the state", "Where a state has a questionnaire of its own, it is that one, with nothing left out.", "yes"
    )


class Medical(Described):
    """Medical evaluation, 29 CFR 1910.134(e)."""

    adopt: OneOrMore[MedicalParagraph] = adopting("(e)")
    professional: Professional = said("Professional", "Who evaluates.", {}, Professional)
    method: MedicalMethod | None = said("Method", "questionnaire or examination.", "questionnaire")
    covers_appendix_c: YesNo | None = said(
        "Covers Appendix C", "It obtains all that Appendix C, part A, sections 1 and 2 asks.", "yes"
    )
    questionnaire: Questionnaire = said("Questionnaire", "How it is given.", {}, Questionnaire)
    before_fit_test: YesNo | None = said("Before fit test", "Clearance comes before fit test and first use.", "yes")
    answered_at: AnsweredAt | None = said(
        "Answered at", "working-hours, or convenient-time-and-place for the worker.", "working-hours"
    )
    when_and_where: Text | None = said(
        "When and where", "Paid hours, or a time and place that suits.", "In paid hours, in the site office"
    )
    answers_unseen: YesNo | None = said("Answers unseen", "Nobody at the firm sees the answers.", "yes")
    confidential: Text | None = said(
        "Confidential", "How answers reach the professional unseen.", "Sealed envelope, posted by the worker"
    )
    questions_understood: YesNo | None = said("Questions understood", "Every worker understands the questions.", "yes")
    understood: Text | None = said(
        "Understood", "How everybody understands the questions.", "English and Spanish; read aloud on request"
    )
    discussion_offered: YesNo | None = said(
        "Discussion offered", "Every worker can talk over questionnaire and findings with the professional.", "yes"
    )
    discussion: Text | None = said(
        "Discussion",
        "How the worker talks it over with the professional.",
        "By phone, 555-0177, in paid time",
    )
    follow_up: YesNo | None = said(
        "Follow-up", "A follow-up examination where the answers or the first examination call for it.", "yes"
    )
    follow_up_tests_decided_by_professional: YesNo | None = said(
        "Follow-up tests", "The professional alone decides on tests and consultations.", "yes"
    )
    professional_gets: tuple[ForProfessional, ...] = said(
        "Professional gets", "What is sent before the decision.", ["mask-type-and-weight"], ()
    )
    written_recommendation: YesNo | None = said("Written recommendation", "The firm obtains it in writing.", "yes")
    recommendation_only: YesNo | None = said(
        "Recommendation only",
        "It holds ability and limits, need of follow-up, and that the worker has a copy; no more.",
        "yes",
    )
    powered_if_needed: YesNo | None = said(
        "Powered if needed", "A powered mask where only a negative-pressure mask is a risk.", "yes"
    )
    reevaluated_when: tuple[ReevaluateWhen, ...] = said(
        "Re-evaluated when", "What brings a wearer back.", ["symptoms-reported"], ()
    )


class Converted(Choice):
    """What is tested by taste, smell or smoke in place of a powered or air-supplied mask."""

    OWN = "own-facepiece-with-filters"
    SAME = "same-facepiece-with-filters"


class FitTesting(Described):
    """Fit testing, 29 CFR 1910.134(f) and Appendix A."""

    adopt: OneOrMore[FitParagraph] = adopting("(f)")
    everybody_tested: YesNo | None = said(
        "Everybody tested", "Everybody who has to wear a tight-fitting mask passes a fit test in it.", "yes"
    )
    done_by: Text | None = said("Done by", "Who gives the tests.", "Ada Brook")
    testers_are_able: YesNo | None = said(
        "Testers are able",
        "Testers can prepare and run a test, spot an invalid one, and keep the equipment in order.",
        "yes",
    )
    testers_able: Text | None = said(
        "Testers able",
        "How testers are known to prepare, run and judge a test.",
        "Trained 2025-01-20 on the kit",
    )
    protocols: tuple[ProtocolName, ...] = said(
        "Protocols", f"The Appendix A protocols used, of: {', '.join(PROTOCOLS)}.", ["saccharin", "denatonium"], ()
    )
    before_first_use: YesNo | None = said("Before first use", "Tested before the first use.", "yes")
    interval: Interval | None = said("Interval", "How often again; at most 12 months.", "12 months")
    on_other_facepiece: YesNo | None = said(
        "On other facepiece", "Again for another make, model, style or size.", "yes"
    )
    on_face_change: YesNo | None = said("On face change", "Again after a change of the face or body.", "yes")
    choose_again: YesNo | None = said(
        "Choose again", "Who finds the fit unacceptable picks another mask and is retested.", "yes"
    )
    wearer_picks: YesNo | None = said(
        "Wearer picks",
        "The wearer picks among enough models and sizes, and wears the mask five minutes to judge its comfort.",
        "yes",
    )
    choice: Text | None = said(
        "Choice",
        "What a wearer chooses from, and how comfort is judged.",
        "Two makes in three sizes; worn 5 minutes",
    )
    no_hair_in_seal: YesNo | None = said("No hair in seal", "No test with hair in the seal.", "yes")
    with_other_gear: YesNo | None = said("With other gear", "Tested in the gear worn at work.", "yes")
    powered_in_negative_pressure: YesNo | None = said(
        "Powered tested unpowered",
        "Powered and airline facepieces are tested in negative-pressure mode.",
        "yes",
    )
    converted_to: Converted | None = said(
        "Converted to",
        "For taste, smell or smoke: own-facepiece-with-filters, or same-facepiece-with-filters (the same seal).",
        "own-facepiece-with-filters",
    )
    conversion: Text | None = said(
        "Conversion", "How such a facepiece is made testable.", "Same facepiece fitted with P100 filters"
    )
    restored: YesNo | None = said("Restored", "It is put back to its approved form before use.", "yes")
    sampling_adapter: YesNo | None = said(
        "Sampling adapter", "Quantitative tests sample between nose and mouth with probe or adapter.", "yes"
    )
    as_appendix_a: YesNo | None = said(
        "As Appendix A", "Every test runs as Appendix A says: its general part and the protocol, step by step.", "yes"
    )
    breathing_trouble: YesNo | None = said(
        "Breathing trouble", "Who has trouble breathing in a test is sent to the health professional.", "yes"
    )
    qualitative_only_to_100: YesNo | None = said(
        "Qualitative only to 100", "Taste, smell and smoke tests only where a fit factor of 100 is enough.", "yes"
    )
    half_mask_pass: Count | None = said(
        "Half mask pass", "Fit factor at which a half or quarter mask passes; at least 100.", "100"
    )
    full_facepiece_pass: Count | None = said(
        "Full facepiece pass", "Fit factor at which a full facepiece passes; at least 500.", "500"
    )
    equipment_kept: YesNo | None = said(
        "Equipment kept",
        "Test equipment is kept clean and in order, instruments maintained and calibrated as their maker says.",
        "yes",
    )
    equipment: Text | None = said(
        "Equipment",
        "How the test equipment is kept clean, in order and calibrated.",
        "Nebulisers rinsed twice a day; counter calibrated yearly by its maker",
    )


class HairRule(Choice):
    CLEAN_SHAVEN = "clean-shaven"
    CLEAR_OF_SEAL = "clear-of-seal-and-valve"


class SealCheckMethod(Choice):
    PARAGRAPH = "(g)(1)(iii)"  # Appendix B-1, each time
    APPENDIX_B1 = "appendix-b1"
    MAKER = "maker"


class LeaveTo(Choice):
    """What makes a wearer leave the area."""

    WASH = "wash-face-and-mask"
    BREAKTHROUGH = "smell-taste-or-leak"
    RESISTANCE = "breathing-changes"
    CHANGE = "change-mask-or-filter"
    ILL = "ill-or-dizzy"


class SealCheck(Described):
    """The user seal check."""

    adopt: SealCheckMethod | None = said("Adopt", "(g)(1)(iii), appendix-b1, or maker with evidence.", "appendix-b1")
    as_effective: YesNo | None = said(
        "As effective", "The maker's check is as effective as the one of Appendix B-1.", "yes"
    )
    evidence: Text | None = said(
        "Evidence", "What shows that the maker's check is as good.", "Maker's study of 2023-05-02"
    )
    every_time: YesNo | None = said("Every time", "Each time the mask is put on.", "yes")


class UseRules(Described):
    """Use, 29 CFR 1910.134(g)(1) and (2)."""

    adopt: OneOrMore[UseParagraph] = adopting("(g)(2)")
    hair: HairRule | None = said("Hair", "clean-shaven, or clear-of-seal-and-valve.", "clean-shaven")
    other_conditions: YesNo | None = said(
        "Other conditions", "Nobody wears a mask with anything else that breaks the seal or valve.", "yes"
    )
    gear_off_seal: YesNo | None = said(
        "Gear off the seal", "Glasses, goggles and other gear are worn so that they stay off the seal.", "yes"
    )
    other_gear: Text | None = said(
        "Other gear",
        "How glasses and other gear stay off the seal.",
        "Lens kits; hard hat put on after the mask",
    )
    seal_check: SealCheck = said("Seal check", "How the wearer checks the seal.", {}, SealCheck)
    watched: YesNo | None = said(
        "Watched", "The conditions of work, the exposure and the strain of the wearers are watched.", "yes"
    )
    supervisors_look: YesNo | None = said(
        "Supervisors look", "Supervisors look at how masks are used from time to time.", "yes"
    )
    infrequent_tasks: Text | None = said(
        "Infrequent tasks",
        "How masks are used in work that comes seldom, such as a cleaning every other month.",
        "The officer goes through the task page with the crew on the morning before",
    )
    watched_by: Text | None = said(
        "Watched by", "Who watches conditions, exposure and stress.", "The foreman of each crew"
    )
    judged_anew: YesNo | None = said("Judged anew", "The mask is judged anew when conditions change.", "yes")
    leave_to: tuple[LeaveTo, ...] = said("Leave to", "What makes a wearer leave.", ["change-mask-or-filter"], ())
    back_only_when_mended: YesNo | None = said(
        "Back only when mended", "Not back before the mask is repaired or replaced.", "yes"
    )


class Procedures(Described):
    """How things are done here."""

    selection: Selecting = said("Selection", "How masks are chosen.", {}, Selecting)
    medical: Medical = said("Medical", "Medical evaluation.", {}, Medical)
    fit_testing: FitTesting = said("Fit testing", "Fit tests.", {}, FitTesting)
    use: UseRules = said("Use", "Rules while wearing.", {}, UseRules)
    emergencies: Emergencies = said("Emergencies", "When things go wrong.", {}, Emergencies)
    cleaning: Cleaning = said("Cleaning", "Cleaning and disinfecting.", {}, Cleaning)
    storage: Storage = said("Storage", "Where and how masks are kept.", {}, Storage)
    inspection: Inspecting = said("Inspection", "When masks are inspected, and for what.", {}, Inspecting)
    repair: Repair = said("Repair", "What happens to a defective mask.", {}, Repair)
    air_supply: AirSupply = said("Air supply", "Breathing air.", {}, AirSupply)
    filter_changes: FilterChanges = said("Filter changes", "When filters are changed.", {}, FilterChanges)
    training: Training = said("Training", "Training.", {}, Training)
    voluntary_use: VoluntaryUse = said("Voluntary use", "Masks nobody requires.", {}, VoluntaryUse)
    smoke: SmokeRules = said("Smoke", "Wildfire smoke.", {}, SmokeRules)
    evaluation: Evaluation = said("Evaluation", "How the program is checked.", {}, Evaluation)
    records: Records = said("Records", "What is kept, where, how long.", {}, Records)
