"""[power_correction]: whether power is also given as it would be in a reference atmosphere."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "power_correction",
    "Power correction",
    "Whether torque and power are also given as they would be in a reference atmosphere. The raw figures come first "
    "and are never changed. The day's air is that of [ambient], its humidity included.",
    (
        Parameter(
            "method",
            "choice",
            "By which rule. sae-j1349, iso-1585 and din-70020 are factors from the air alone, made for engines without "
            "boost control: where an absolute boost target is held the factor is 1. model: the same build in the same "
            "mode is predicted again in the reference air.",
            choices=("none", "sae-j1349", "iso-1585", "din-70020", "model"),
            default="none",
            default_status="assumed",
            used_when=When("method", ("model",)),  # none needs nobody to confirm it
        ),
        Parameter(
            "model_reference",
            "choice",
            "Whose reference air the model is run in. sae-j1349 and iso-1585: 25 degC and 99 kPa of dry air, 100 kPa "
            "in all; din-70020: 20 degC and 101.3 kPa, taken dry.",
            choices=("sae-j1349", "iso-1585", "din-70020"),
            default="iso-1585",
            default_status="assumed",
            used_when=When("method", ("model",)),
        ),
    ),
)
