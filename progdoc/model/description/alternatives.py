"""One mask or another in a task: under a condition, in a role, or from a reading on."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Concentration, Id, Text, YesNo

__all__ = ["ActionStep", "Role"]


class Role(Choice):
    """What somebody does in a task, where not all wear the same."""

    ENTRANT = "entrant"
    STANDBY = "standby"
    RESCUER = "rescuer"
    OPERATOR = "operator"
    HELPER = "helper"


class ActionStep(Described):
    """What is done from a reading on, until the next one."""

    hazard: Id = Field(title="Hazard", description="The id of the hazard that is read.", examples=["varnish-toluene"])
    over: Concentration = Field(title="Over", description="From which reading on.", examples=["50 ppm"])
    action: Text = Field(title="Action", description="What is done then.", examples=["Change to the full facepiece"])
    mask: Id | None = said("Mask", "The id of the mask that is worn from then on.", "full-facepiece")
    filters: tuple[Id, ...] = said("Filters", "Ids of the filters or cartridges fitted.", ["ov-p100"], ())
    leave: YesNo = said("Leave", "Yes if everybody leaves, and nobody goes in again.", "no", False)
