"""[driveline]: what is lost between the crankshaft and the wheels."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

_SHARE = When("loss_model", ("share", "share-and-drag"))
_DRAG = When("loss_model", ("drag", "share-and-drag"))
_ANY = When("loss_model", ("share", "drag", "share-and-drag"))

SECTION = SectionSchema(
    "driveline",
    "Driveline",
    "What is lost between the crankshaft and the wheels, for figures as a chassis dyno shows them. The figures at the "
    "crankshaft come first and are never changed.",
    (
        Parameter(
            "loss_model",
            "choice",
            "none: no wheel figures. share: a share of the power, as gear meshes and tyres take it. drag: a torque "
            "that is there at any load, as oil and bearings take it. share-and-drag: the drag first, then the share.",
            choices=("none", "share", "drag", "share-and-drag"),
            default="none",
            default_status="assumed",
            used_when=When("loss_model", ("share",)),  # none needs nobody to confirm it
        ),
        Parameter(
            "loss_share",
            "dimensionless",
            "Share of the power that is lost, 0 to 1 or in %. Beliefs run from 0.10 to 0.18, four-wheel drive to 0.25.",
            required_when=_SHARE,
            low=0.0,
            high=0.6,
            low_ask=0.04,
            high_ask=0.25,
            scale=100.0,
            example="0.14",
            outside_remedy='Write 0.14 or "14 %".',
            measured_by="coast the car down on the rollers",
        ),
        Parameter(
            "drag_torque",
            "torque",
            "Drag at any load, referred to the crankshaft: what a coast-down gives, over the overall ratio.",
            required_when=_DRAG,
            low="0 Nm",
            high="200 Nm",
            high_ask="50 Nm",
            example='"10 Nm"',
        ),
        Parameter(
            "loss_status",
            "choice",
            "How the loss is known. measured: by a coast-down or an engine dyno on this car; believed: by the dyno's "
            "operator or the owner; common-practice: a usual figure.",
            choices=("measured", "believed", "common-practice"),
            required_when=_ANY,
            example='"believed"',
        ),
    ),
)
