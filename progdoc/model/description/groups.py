"""Groups of people by their status, each with its own way to a mask. Who wears what stays with the people."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Id, Text, YesNo

__all__ = ["Group", "Status"]


class Status(Choice):
    """What ties people to the firm."""

    EMPLOYEE = "employee"
    VOLUNTEER = "volunteer"
    STUDENT = "student"
    SWORN_OFFICER = "sworn-officer"
    TEMPORARY = "temporary"
    CONTRACTORS_PEOPLE = "contractors-people"
    OTHER = "other"


class Group(Described):
    """People of one status, and what is done otherwise for them."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["volunteers"])
    name: Text = Field(title="Name", description="What people call them.", examples=["Volunteers of the museum"])
    status: Status = Field(
        title="Status",
        description="employee, volunteer, student, sworn-officer, temporary, contractors-people or other.",
        examples=["volunteer"],
    )
    covered: YesNo = said("Covered", "Whether this program covers them.", "yes", True)
    covered_by: Text | None = said(
        "Covered by",
        "If not: whose program does, or why none has to. The id of a body will do.",
        "fire-brigade",
    )
    clinic: Id | None = said(
        "Clinic", "The id of the body that evaluates them, where it is not the one for everybody.", "student-health"
    )
    consent_form: Text | None = said("Consent form", "What they sign first.", "Form V-2, kept by the safety office")
    hiring_physical: Text | None = said(
        "Hiring physical",
        "Where the examination at hiring is their medical evaluation: by whom, and what makes it one.",
        "By the clinic, which gets Appendix C and the mask's data with it",
    )
