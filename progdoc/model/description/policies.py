"""Stricter rules of clients, funders, hosts or the firm itself. A policy adds to the law and takes nothing away.

One entry is one document of one party, with any number of its rules. Which direction is the stricter one,
and what the law asks, stands in the rules; a looser value is a finding there, not a fault of form.
"""

from pydantic import Field

from progdoc.model.description.base import Described, said
from progdoc.model.description.exposure_evidence import Averaging, Fraction
from progdoc.model.description.masks import Facepiece, Mode, Particulate
from progdoc.model.description.scalars import (
    Concentration,
    Count,
    Duration,
    Id,
    Interval,
    IsoDate,
    Number,
    Percent,
    Text,
    YesNo,
)
from progdoc.model.description.step_order import OrderRule

__all__ = ["Policy", "PolicyCredit", "PolicyLimit"]


class PolicyLimit(Described):
    """An exposure limit under the law's."""

    value: Concentration = Field(title="Value", description="The limit.", examples=["25 ug/m3"])
    averaging: Averaging = said("Averaging", "TWA, STEL or ceiling.", "TWA", Averaging.TWA)
    fraction: Fraction | None = said("Fraction", "Of a dust: total, respirable or inhalable.", "respirable")


class PolicyCredit(Described):
    """The most a kind of mask is credited with."""

    facepiece: Facepiece = Field(title="Facepiece", description="The kind of facepiece.", examples=["half-mask"])
    mode: Mode | None = said("Mode", "Only in this mode; leave out for all.", "air-purifying")
    most: Number = Field(title="Most", description="The highest protection factor credited.", examples=["5"])


class Policy(Described):
    """What one party asks for beyond the law. Leave out sites, tasks, groups, agents or masks to mean all of them."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["host-rules"])
    by: Text = Field(title="By", description="Who asks for it.", examples=["Northbridge Diocese"])
    source: Text = Field(
        title="Source", description="Where it is written.", examples=["Rules for contractors 2026, section 4"]
    )
    date: IsoDate | None = said(
        "Date", "Of that text; one that lies ahead binds from that day on, and not before.", "2026-01-15"
    )
    sites: tuple[Id, ...] = said("Sites", "Ids of the sites it holds for.", ["mill-street"], ())
    tasks: tuple[Id, ...] = said(
        "Tasks", "Ids of the tasks it holds for, and so for whoever does them.", ["scrape-sashes"], ()
    )
    groups: tuple[Id, ...] = said(
        "Groups",
        "Ids of the groups it holds for: it binds their people in what they do, and what they share.",
        ["volunteers"],
        (),
    )
    agents: tuple[Text, ...] = said("Agents", "Agents it holds for, by name or CAS number.", ["lead"], ())
    masks: tuple[Id, ...] = said(
        "Masks", "Ids of the masks it holds for; rules of the air, for the tasks with one of them.", ["half-p100"], ()
    )
    exposure_limits: tuple[PolicyLimit, ...] = said(
        "Exposure limits", "Lower limits for the agents named above.", [{"value": "25 ug/m3"}], ()
    )
    immediately_dangerous_from: Concentration | None = said(
        "Immediately dangerous from", "A lower IDLH value for the agents named above.", "500 ppm"
    )
    mask_from: Percent | None = said("Mask from", "Share of a limit from which masks are worn.", "50 %")
    protection_credits: tuple[PolicyCredit, ...] = said(
        "Protection credits", "Lower protection factors.", [{"facepiece": "half-mask", "most": "5"}], ()
    )
    dust_masks: YesNo | None = said("Dust masks", "no: dust masks (filtering facepieces) are not worn.", "no")
    least_filter: Particulate | None = said("Least filter", "The lowest filter class.", "P100")
    air_purifying: YesNo | None = said("Air-purifying", "no: only masks that bring their own air.", "no")
    least_oxygen: Percent | None = said("Least oxygen", "Below this, air counts as short of oxygen.", "20 %")
    scba_service_time: Duration | None = said("SCBA service time", "Least rated time in dangerous air.", "60 min")
    evidence_interval: Interval | None = said("Evidence interval", "How often the air is judged again.", "6 months")
    quantitative_only: YesNo | None = said("Quantitative only", "yes: only quantitative fit tests count.", "yes")
    fit_test_interval: Interval | None = said("Fit test interval", "How often fit tests come round.", "6 months")
    half_mask_pass: Count | None = said("Half mask pass", "Fit factor at which a half mask passes.", "200")
    full_facepiece_pass: Count | None = said("Full facepiece pass", "The same for a full facepiece.", "1000")
    clean_shaven: YesNo | None = said("Clean-shaven", "yes: no beards at all.", "yes")
    training_interval: Interval | None = said("Training interval", "How often training is repeated.", "6 months")
    evaluation_interval: Interval | None = said("Evaluation interval", "How often the program is checked.", "12 months")
    emergency_inspection_interval: Interval | None = said(
        "Emergency inspection interval", "How often emergency masks are inspected.", "14 days"
    )
    flow_test_interval: Interval | None = said("Flow test interval", "How often sets go on the bench.", "12 months")
    voluntary_use: YesNo | None = said("Voluntary use", "no: nobody wears a mask without need.", "no")
    standby: Count | None = said("Standby", "People outside immediately dangerous air.", "2")
    carbon_monoxide: Concentration | None = said("Carbon monoxide", "Most in breathing air.", "5 ppm")
    oil_in_air: Concentration | None = said("Oil in air", "Most oil in breathing air.", "1 mg/m3")
    recharge_at: Percent | None = said("Recharge at", "Pressure at which cylinders are recharged.", "95 %")
    cartridge_change: Duration | None = said("Cartridge change", "Longest use of a gas cartridge.", "4 h")

    order: tuple[OrderRule, ...] = said(
        "Order", "Which step comes before which.", [{"first": "training", "then": "fit-test"}], ()
    )

    @property
    def is_general(self) -> bool:
        """Whether it names nothing it holds for, and so holds for all work."""
        return not (self.sites or self.tasks or self.groups or self.agents or self.masks)
