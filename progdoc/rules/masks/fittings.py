"""What goes with a mask: filters that belong to it, and gear that may get under its seal."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.masks import Facepiece, Filter, Mask
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Gear
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.facepieces import may_seal
from progdoc.rules.reasons import Reason

__all__ = ["SEAL_BREAKERS", "against_gear", "against_parts"]

SEAL_BREAKERS = (
    Gear.SPECTACLES,
    Gear.SAFETY_GLASSES,
    Gear.GOGGLES,
    Gear.GAS_PROOF_GOGGLES,
    Gear.HOOD,
    Gear.HARD_HAT,
    Gear.FACE_SHIELD,
)

# Their bars or their rim lie where a full facepiece seals, whatever is said of the two together.
_GLASSES = (Gear.SPECTACLES, Gear.SAFETY_GLASSES, Gear.GOGGLES, Gear.GAS_PROOF_GOGGLES)


def against_parts(mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    """A filter that is not among those said to fit the mask voids its approval (d)(1)(ii); a dust mask takes none."""
    takes_none = mask.facepiece is Facepiece.FILTERING_FACEPIECE
    strange = [part for part in fitted if takes_none or (mask.filters and part.id not in mask.filters)]
    if strange:
        yield Reason("SEL-023", path, {"filter": said_join(map(label_of, strange), ", ")})


def against_gear(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Glasses under a full facepiece; other gear that may get under a seal, unless it is said to keep clear of it."""
    if not may_seal(mask):
        return
    barred = [gear for gear in air.task.gear if mask.facepiece is Facepiece.FULL_FACEPIECE and gear in _GLASSES]
    if mask.lens_kits:
        barred = [gear for gear in barred if gear is not Gear.SPECTACLES]  # set in the kit, they have no side bars
    if barred:
        yield Reason("SEL-029", path, {"gear": said_join((said_choice(gear) for gear in barred), said(" and "))})
    others = [gear for gear in air.task.gear if gear is not Gear.NONE and gear not in barred]
    touches = air.task.gear_clear_of_seal is False
    # Whoever saw that something gets under the seal knows more than the list of what usually does.
    worn = others if touches and not barred else [gear for gear in others if gear in SEAL_BREAKERS]
    named = said_join((said_choice(gear) for gear in worn), ", ")
    if touches and (worn or not barred):
        told = said("the description says that it does not stay off the seal")
        yield Reason("SEL-017", path, {"gear": named or said("gear that is not named"), "told": told})
    elif worn and air.task.gear_clear_of_seal is None:
        yield Reason("SEL-017", path, {"gear": named, "told": said("nobody says that the seal stays clear")})
