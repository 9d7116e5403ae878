"""Who delivers breathing air, where there is more than one; what the law asks of air is asked of each."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Concentration, Id, IsoDate, Percent, Temperature, Text, YesNo

__all__ = ["AirSupplier", "Delivers"]


class Delivers(Choice):
    """How the air of a supplier comes."""

    CYLINDERS = "cylinders"
    COMPRESSED_ON_SITE = "compressed-on-site"


class AirSupplier(Described):
    """One who delivers breathing air, and what shows that it is good; 29 CFR 1910.134(i)(1)(ii) and (i)(4)."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["north-gas"])
    name: Text = Field(title="Name", description="Who it is.", examples=["Northbridge Gases"])
    delivers: Delivers | None = said(
        "Delivers", "cylinders that are filled elsewhere, or compressed-on-site by a machine of theirs.", "cylinders"
    )
    used_for: Text | None = said("Used for", "What their air is breathed for.", "The sets of the rescue team")
    grade: Text | None = said("Grade", "Grade of the air: D or better.", "D")
    certified: YesNo | None = said("Certified", "They certify with an analysis that the air is of Grade D.", "yes")
    certificate: Text | None = said("Certificate", "Where the certificates are.", "With each delivery, air folder")
    dew_point: Temperature | None = said("Dew point", "Of the air in the cylinders.", "-60 F")
    cylinders_tested: YesNo | None = said(
        "Cylinders tested", "Their cylinders are tested and maintained as 49 CFR part 180 says.", "yes"
    )
    tested: IsoDate | None = said("Tested", "When their air was last analysed.", "2026-02-01")
    oxygen_low: Percent | None = said("Oxygen, lowest", "Of the analysis.", "20 %")
    oxygen_high: Percent | None = said("Oxygen, highest", "Of the analysis.", "22 %")
    oil: Concentration | None = said("Oil", "Of the analysis.", "1 mg/m3")
    carbon_monoxide: Concentration | None = said("Carbon monoxide", "Of the analysis.", "2 ppm")
    carbon_dioxide: Concentration | None = said("Carbon dioxide", "Of the analysis.", "500 ppm")
    no_odour: YesNo | None = said("No odour", "No noticeable odour.", "yes")
