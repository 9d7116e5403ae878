"""How the document itself is kept: its number, who owns and approves it, who has a copy, when it is looked at again."""

from progdoc.model.description.base import Described, said
from progdoc.model.description.scalars import IsoDate, Text

__all__ = ["ControlledCopy", "DocumentControl"]


class ControlledCopy(Described):
    """A copy that somebody answers for."""

    copy_number: Text | None = said("Copy number", "The number on it.", "3")
    holder: Text | None = said("Holder", "Who has it, and takes out what is superseded.", "The foreman of the yard")
    place: Text | None = said("Place", "Where it lies.", "Site office")


class DocumentControl(Described):
    """What an organisation that numbers its documents prints on the cover of each."""

    number: Text | None = said("Number", "The number of this document.", "SAF-012")
    parent: Text | None = said("Parent", "The document that it belongs to.", "SAF-001, safety manual")
    supersedes: Text | None = said("Supersedes", "The document or revision that it takes the place of.", "SAF-007")
    owner: Text | None = said("Owner", "Who keeps the document.", "Ada Brook")
    approver: Text | None = said("Approver", "Who approves each revision.", "Ina Reed, owner of the firm")
    next_review: IsoDate | None = said("Next review", "By when it is looked through again.", "2027-03-01")
    used_in: tuple[Text, ...] = said(
        "Used in", "Other programs of the firm that rest on this one.", ["SAF-020, confined spaces"], ()
    )
    distribution: tuple[ControlledCopy, ...] = said(
        "Distribution", "Who has a copy.", [{"copy_number": "3", "holder": "The foreman of the yard"}], ()
    )
