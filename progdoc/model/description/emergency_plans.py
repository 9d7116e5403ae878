"""What the firm does when things go wrong: foreseeable emergencies, immediately dangerous air, fires inside."""

from progdoc.model.description.adopting import Emergency, OneOrMore, adopting
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import AgentName, Count, Id, Text, YesNo

__all__ = ["Emergencies", "FireFighting", "Foreseeable", "IdlhEntry", "RetrievalBy", "RetrievalPart"]


class Contact(Choice):
    SIGHT = "sight"
    VOICE = "voice"
    SIGNAL_LINE = "signal-line"


class RetrievalBy(Choice):
    GEAR = "retrieval-gear"
    EQUAL = "equal-means"


class RetrievalPart(Choice):
    """What retrieval gear is made of: what whoever goes in wears, the line on it, and what holds or draws the line."""

    HARNESS = "harness"
    LINE = "line"
    WINCH = "winch"
    FIXED_POINT = "fixed-point"


class IdlhEntry(Described):
    """Entry into immediately dangerous air, 29 CFR 1910.134(g)(3)."""

    standby: Count | None = said("Standby", "People outside.", "1")
    inside: Count | None = said("Inside", "The most people who are inside at once.", "1")
    contact_by: tuple[Contact, ...] = said("Contact by", "sight, voice, signal-line.", ["voice", "signal-line"], ())
    contact: Text | None = said("Contact", "Sight, voice or signal line.", "Voice by radio, line as back-up")
    standby_trained: YesNo | None = said("Standby trained", "Trained and equipped to rescue.", "yes")
    told_first: YesNo | None = said(
        "Told first", "The employer, or whom the employer named, is told before anybody goes in to rescue.", "yes"
    )
    told_before_rescue: Text | None = said(
        "Told before rescue", "Who is told before rescuers go in.", "Ada Brook, 555-0142"
    )
    help_assured: YesNo | None = said(
        "Help assured", "Whoever is told gives the help that the situation calls for.", "yes"
    )
    help_given: Text | None = said("Help given", "What that person then does.", "Calls the fire service")
    standby_positive_pressure: YesNo | None = said(
        "Standby air", "Standby have pressure-demand SCBA, or airline with auxiliary SCBA.", "yes"
    )
    retrieval_by: RetrievalBy | None = said(
        "Retrieval by",
        "retrieval-gear; or equal-means, where such gear would not help or would add to the danger.",
        "retrieval-gear",
    )
    retrieval_with: tuple[RetrievalPart, ...] = said(
        "Retrieval with",
        "What the gear is made of: harness (on everybody who goes in), line, winch (or another mechanical device),"
        " fixed-point (outside).",
        ["harness", "line", "winch"],
        (),
    )
    retrieval: Text | None = said(
        "Retrieval", "Retrieval gear, or the equal means for rescue.", "Tripod, winch and harness"
    )


class FireFighting(Described):
    """Fire-fighting inside a building, 29 CFR 1910.134(g)(4)."""

    inside: Count | None = said("Inside", "People who go in together.", "2")
    in_contact: YesNo | None = said("In contact", "They stay in sight or voice contact.", "yes")
    outside: Count | None = said("Outside", "People who stay outside.", "2")
    all_scba: YesNo | None = said("All SCBA", "Everybody inside wears SCBA.", "yes")


class Foreseeable(Described):
    """An emergency that may happen, and what the crew does."""

    what: Text = said("What", "What may happen.", "Solvent can tips over", ...)
    crew: Text = said("Crew", "What the crew does.", "Everybody leaves; the foreman airs the room", ...)
    tasks: tuple[Id, ...] = said(
        "Tasks",
        "Ids of the tasks in which it may happen: their pages print it, and what is in their air is in its air too.",
        ["varnish"],
        (),
    )
    agents: tuple[AgentName, ...] = said(
        "Agents", "What is then in the air, by name or CAS number.", ["methylene chloride"], ()
    )
    going_in: YesNo | None = said(
        "Going in", "Do our people go in, or back in, before it is known that the air is clean?", "no"
    )
    masks: tuple[Id, ...] = said("Masks", "Ids of the masks in which they go in.", ["scba"], ())


class Emergencies(Described):
    """Reasonably foreseeable emergencies, 29 CFR 1910.134(c)(1)(iv)."""

    adopt: OneOrMore[Emergency] = adopting("(g)(3)")
    foreseeable: tuple[Foreseeable, ...] = said("Foreseeable", "Each one, and what is done.", [], ())
    none_because: Text | None = said("None because", "Why none is foreseeable.", "Hand tools and plaster only")
    out_with_mask_on: YesNo | None = said(
        "Out with the mask on",
        "Whoever's mask fails leaves at once for clean air with the mask on, and takes it off there.",
        "yes",
    )
    mask_fails: Text | None = said(
        "Mask fails", "What else a wearer does when the mask fails.", "Walks out to clean air, then takes it off"
    )
    idlh: IdlhEntry = said("IDLH entry", "Standby and rescue.", {}, IdlhEntry)
    fire: FireFighting = said("Fire", "Inside structural fires.", {}, FireFighting)
