"""Why something does not do, in the form in which the computations hand it to the catalogue."""

from __future__ import annotations

from dataclasses import field

from progdoc.core.late_dataclass import dataclass

__all__ = ["CAUTIONS", "DISPROVES", "FORBIDS", "Reason"]

# Reasons that leave a mask adequate; the catalogue gives each of them a severity under "required".
CAUTIONS = frozenset(
    {"SEL-015", "SEL-021", "EXP-012", "EXP-017", "EXP-019", "EXP-020", "EXP-027", "EXP-028", "EXP-034", "HAZ-001"}
    | {"EXP-035", "EXP-036", "EXP-037", "EXP-038", "EXP-039", "EXP-041", "EXP-042", "EXP-044"}
)

# Reasons by which a mask does not protect; by all others it is not shown to: something is missing, late or unclear.
DISPROVES = frozenset(
    {"SEL-001", "SEL-002", "SEL-003", "SEL-004", "SEL-005", "SEL-006", "SEL-007", "SEL-008", "SEL-009", "SEL-010"}
    | {"SEL-012", "SEL-013", "SEL-014", "SEL-016", "SEL-019", "SEL-020", "SEL-024", "SEL-025", "SEL-026", "SEL-027"}
    | {"SEL-028", "SEL-029", "BLA-002", "BLA-003", "BRG-001", "MSK-019", "INS-018", "AIR-028"}
)
# Reasons by which it might protect, and somebody lets nobody wear it.
FORBIDS = frozenset({"POL-003", "POL-004", "POL-006", "POL-011", "POL-012", "HSE-003"})


@dataclass(frozen=True, slots=True)
class Reason:
    """The requirement that is broken, where, and the words for the placeholders of its text."""

    code: str
    path: str
    words: dict[str, str] = field(default_factory=dict, hash=False)
    told: str = ""  # the sentence itself, where no placeholders of a text are to be filled

    @property
    def is_caution(self) -> bool:
        return self.code in CAUTIONS
