"""Every key of build.toml, declared once: one file a section, here in the order the gas flows."""

from boostwright.build.parameter import SectionSchema
from boostwright.build.schema import (
    ambient,
    boost_control,
    breathing,
    charge_cooler,
    compressor,
    cylinder,
    driveline,
    engine,
    exhaust,
    exhaust_manifold,
    fuel,
    fuel_system,
    intake,
    limits,
    plan,
    power_correction,
    prediction,
    probe,
    runners,
    shaft,
    spark,
    throttle,
    top_level,
    turbine,
    wastegate,
)

__all__ = ["SCHEMA_VERSION", "SECTIONS", "TOP_LEVEL"]

SCHEMA_VERSION = 1

TOP_LEVEL: SectionSchema = top_level.SECTION

SECTIONS: tuple[SectionSchema, ...] = (
    engine.SECTION,
    ambient.SECTION,
    fuel.SECTION,
    fuel_system.SECTION,
    breathing.SECTION,
    cylinder.SECTION,
    spark.SECTION,
    runners.SECTION,
    intake.SECTION,
    compressor.SECTION,
    charge_cooler.SECTION,
    throttle.SECTION,
    exhaust_manifold.SECTION,
    turbine.SECTION,
    shaft.SECTION,
    wastegate.SECTION,
    boost_control.SECTION,
    exhaust.SECTION,
    probe.SECTION,
    driveline.SECTION,
    power_correction.SECTION,
    limits.SECTION,
    plan.SECTION,
    prediction.SECTION,
)
