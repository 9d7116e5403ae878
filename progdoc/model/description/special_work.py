"""Kinds of work whose own sections of the law set masks, whatever was sampled: hot work, blasting and others."""

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Flow, Length, Text, Volume, YesNo

__all__ = [
    "Abrasive",
    "BlastPlace",
    "BlastWork",
    "Blasting",
    "Entry",
    "EntryPurpose",
    "HotBystanders",
    "HotMetal",
    "HotPlace",
    "HotVentilation",
    "HotWork",
    "Monitoring",
    "ProtectionLevel",
    "SprayPlace",
    "Spraying",
]


class HotMetal(Choice):
    """What is welded, cut or heated, or what coats it."""

    LEAD = "lead"
    CADMIUM = "cadmium"
    MERCURY = "mercury"
    BERYLLIUM = "beryllium"
    STAINLESS_INERT_GAS = "stainless-steel-inert-gas"
    ZINC = "zinc"
    CHROMIUM = "chromium"
    CADMIUM_FILLER = "cadmium-filler"
    STAINLESS_CUTTING = "stainless-steel-cutting"
    FLUORIDES = "fluorides"
    OTHER = "other"


class HotPlace(Choice):
    """Where it is done."""

    OPEN_AIR = "open-air"
    ENCLOSED = "enclosed"
    CONFINED = "confined"


class HotVentilation(Choice):
    """What draws the fume off."""

    LOCAL = "local-exhaust"
    GENERAL = "general"
    NONE = "none"


class HotBystanders(Choice):
    """Others who breathe the same air."""

    NONE = "none"
    PROTECTED = "protected-alike"
    UNPROTECTED = "unprotected"


class HotWork(Described):
    """Welding, cutting or heating, which has mask duties of its own (29 CFR 1926.353, 1910.252(c), 1915.51)."""

    metals: tuple[HotMetal, ...] = said(
        "Metals",
        "What the metal, its coating, the filler or the flux contains; stainless-steel-cutting is by oxygen or by arc.",
        ["lead"],
        (),
    )
    place: HotPlace | None = said("Place", "open-air, enclosed (indoors too) or confined.", "open-air")
    ventilation: HotVentilation | None = said("Ventilation", "local-exhaust, general or none.", "local-exhaust")
    attendant: YesNo | None = said(
        "Attendant",
        "Confined, and not ventilated or in masks with air of their own: somebody outside keeps contact and helps.",
        "yes",
    )
    bystanders: HotBystanders | None = said(
        "Bystanders", "Others in the same air: none, protected-alike or unprotected.", "none"
    )
    tested_within_limits: YesNo | None = said(
        "Tested within limits",
        "General industry: air samples taken under the worst conditions show beryllium, cadmium, mercury or fluorides"
        " within their limits.",
        "no",
    )
    room_per_welder: Volume | None = said("Room per welder", "Volume of the room for each welder.", "12000 ft3")
    ceiling: Length | None = said("Ceiling", "Height of the room.", "18 ft")
    obstructed: YesNo | None = said(
        "Obstructed", "Partitions, balconies or the like keep the air from crossing the room.", "no"
    )
    flow_per_welder: Flow | None = said(
        "Flow per welder", "What a fan draws off for each welder, where there is no hood.", "2000 cfm"
    )


class BlastWork(Choice):
    """What is done in the dust of blasting."""

    BLASTING = "blasting"
    CLEAN_UP = "short-clean-up"


class BlastPlace(Choice):
    """Where the blaster stands."""

    ROOM = "blast-room"
    ENCLOSED = "enclosed"
    OUTSIDE = "outside"


class Abrasive(Choice):
    """What is blasted with."""

    SILICA_SAND = "silica-sand"
    WITH_SILICA = "with-silica"
    LOW_SILICA = "low-silica"


class Blasting(Described):
    """Abrasive blasting, which has mask duties of its own (29 CFR 1910.94(a), 1926.57(f), 1915.34(c))."""

    work: BlastWork | None = said(
        "Work",
        "blasting, or short-clean-up: clearing up, emptying collectors or unloading sand, now and then and not long.",
        "blasting",
    )
    place: BlastPlace | None = said(
        "Place", "blast-room (the blaster works inside it), enclosed or indoors otherwise, or outside.", "outside"
    )
    separated: YesNo | None = said(
        "Separated",
        "Nozzle and blast are walled off from the blaster, in a cabinet or other exhausted enclosure.",
        "no",
    )
    abrasive: Abrasive | None = said(
        "Abrasive",
        "silica-sand; with-silica: another that holds silica; low-silica: man-made, under 1 % free silica.",
        "low-silica",
    )
    toxic: YesNo | None = said(
        "Toxic", "The dust of the surface or of the abrasive is toxic: lead paint, chromate, copper slag.", "no"
    )


class SprayPlace(Choice):
    """Where it is sprayed."""

    BOOTH = "booth"
    ROOM = "spray-room"
    ELSEWHERE = "elsewhere"


class Spraying(Described):
    """Spray finishing (29 CFR 1910.94(c), 1926.57(h)); outsides of buildings and small portable sets are elsewhere."""

    place: SprayPlace | None = said("Place", "booth, spray-room or elsewhere.", "booth")
    downstream: YesNo | None = said(
        "Downstream", "In a booth: the painter stands where the air goes after it has passed the piece.", "no"
    )


class Monitoring(Choice):
    """How the air of a confined space is watched."""

    CONTINUOUS = "continuous"
    PERIODIC = "periodic"
    BEFORE_ENTRY = "before-entry-only"


class PeriodicBecause(Choice):
    """What lets readings now and then do, 29 CFR 1926.1204(e)(2)."""

    NOT_SOLD = "no-such-meter-is-sold"
    OFTEN_ENOUGH = "shown-often-enough"


class EntryPurpose(Choice):
    """What somebody goes into a space for; in shipyards it decides whether bad air may be entered."""

    WORK = "work"
    RESCUE = "rescue"
    VENTILATION = "setting-up-ventilation"


class Entry(Described):
    """Entry into a confined space (29 CFR 1910.146, 1926.1203 and 1926.1204; 1915.12 in shipyards)."""

    permit_required: YesNo | None = said(
        "Permit required", "A competent person found the space to need a permit.", "yes"
    )
    permit: YesNo | None = said("Permit", "Every entry has its written permit.", "yes")
    monitoring: Monitoring | None = said("Monitoring", "continuous, periodic or before-entry-only.", "continuous")
    periodic_because: PeriodicBecause | None = said(
        "Periodic because",
        "In construction, what lets readings now and then do: no-such-meter-is-sold (one that reads this hazard all the"
        " time), or shown-often-enough (they come so often that the hazard is shown to stay at safe levels).",
        "shown-often-enough",
    )
    monitoring_basis: Text | None = said(
        "Monitoring basis", "Why periodic readings are enough.", "No meter for it is sold; read every ten minutes"
    )
    tested: YesNo | None = said(
        "Tested",
        "The air is tested with a calibrated direct-reading meter before anybody goes in, oxygen first, then what may"
        " burn, then what may poison; in shipyards by a competent person who also looks in.",
        "yes",
    )
    purpose: EntryPurpose | None = said(
        "Purpose", "In shipyards: work, rescue or setting-up-ventilation for a short time.", "work"
    )
    attendant: YesNo | None = said("Attendant", "Somebody stays outside as long as anybody is in.", "yes")


class ProtectionLevel(Choice):
    """Levels of gear at hazardous waste and spills."""

    A = "A"
    B = "B"
    C = "C"
    D = "D"
