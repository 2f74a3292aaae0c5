"""[fuel_system]: injectors, rail and pump, so that their margins run beside every point."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION"]

_ANY = When("injection", ("port", "direct"))
_DIRECT = When("injection", ("direct",))
_PUMP = When("pump", ("electric",))
_NOT_ABSOLUTE = {
    "absolute": "a regulator works against the air or the manifold: write what a gauge on the rail shows with its hose "
    "off, for example 300 kPa gauge."
}

_INJECTORS = (
    Parameter(
        "injection",
        "choice",
        "Where the fuel goes: port, before the intake valves; direct, into the cylinders; none: no fuel system is "
        "described, and nothing is said of its margins.",
        choices=("none", "port", "direct"),
        default="none",
        default_status="assumed",
        used_when=When("injection", ("port",)),  # none needs nobody to confirm it
    ),
    Parameter(
        "injector_count",
        "integer",
        "Injectors in all that share the fuel.",
        required_when=_ANY,
        low=1,
        high=48,
        high_ask=24,
        example="5",
    ),
    Parameter(
        "injector_flow",
        "volume_flow",
        "Flow of one injector held open, by volume or by mass, at the pressure difference and with the liquid below.",
        also="mass_flow",
        required_when=_ANY,
        low="20 cm3/min",
        high="10000 cm3/min",
        low_ask="100 cm3/min",
        high_ask="3000 cm3/min",
        example='"550 cm3/min"',
    ),
    Parameter(
        "injector_flow_pressure",
        "pressure",
        "Pressure over the injector at which that flow was measured. A difference, so neither gauge nor absolute.",
        required_when=_ANY,
        low="50 kPa",
        high="50 MPa",
        low_ask="200 kPa",
        high_ask="35 MPa",
        example='"300 kPa"',
    ),
    Parameter(
        "injector_test_liquid",
        "choice",
        "What it was measured with. n-heptane: 684 kg/m3, as flow benches use; petrol: 745 kg/m3; other: by "
        "injector_test_density.",
        choices=("n-heptane", "petrol", "other"),
        required_when=_ANY,
        example='"n-heptane"',
    ),
    Parameter(
        "injector_test_density",
        "density",
        "Density of another test liquid.",
        required_when=When("injector_test_liquid", ("other",)),
        low="500 kg/m3",
        high="1200 kg/m3",
        low_ask="650 kg/m3",
        high_ask="900 kg/m3",
        example='"770 kg/m3"',
    ),
    Parameter(
        "dead_time",
        "time",
        "Time from switching the injector on to full flow, less what still flows after switching off; one number or "
        "over the voltage.",
        axis="voltage",
        required_when=_ANY,
        low="0 ms",
        high="5 ms",
        low_ask="0.2 ms",
        high_ask="2.5 ms",
        example='{ voltage = [10, 12, 14], unit = "V", value = [1.5, 1.1, 0.9], value_unit = "ms" }',
    ),
    Parameter(
        "injector_voltage",
        "voltage",
        "Voltage at the injectors, engine running.",
        used_when=_ANY,
        default="13.5 V",
        default_status="common practice",
        low="6 V",
        high="100 V",
        low_ask="11 V",
        high_ask="80 V",
    ),
    Parameter(
        "injections_per_cycle",
        "integer",
        "Pulses of one injector in two turns of the crankshaft; each costs a dead time.",
        used_when=_ANY,
        default=1,
        default_status="assumed",
        low=1,
        high=8,
    ),
    Parameter(
        "injection_window",
        "angle",
        "Crank angle in which fuel may be injected into the cylinder; port injection has the whole cycle.",
        required_when=_DIRECT,
        low="30 deg",
        high="720 deg",
        low_ask="100 deg",
        high_ask="360 deg",
        example='"240 deg"',
    ),
    Parameter(
        "highest_duty",
        "dimensionless",
        "Highest duty wanted, as a share of the time at hand.",
        used_when=_ANY,
        default=0.85,
        default_status="common practice",
        low=0.1,
        high=1.0,
        low_ask=0.6,
        high_ask=0.95,
        scale=100.0,
        outside_remedy='Write 0.85 or "85 %".',
    ),
)
_RAIL = (
    Parameter(
        "rail_reference",
        "choice",
        "What the regulator holds the rail above. manifold: a hose goes to the intake manifold, so the rail follows "
        "boost; air: it does not, and boost takes pressure off the injectors.",
        choices=("manifold", "air"),
        required_when=_ANY,
        example='"manifold"',
    ),
    Parameter(
        "rail_pressure",
        "pressure",
        "What a gauge on the rail shows with the regulator's hose off. With reference to the manifold this is the "
        "difference it holds.",
        basis=("gauge",),
        stored_basis="gauge",
        refused_basis=_NOT_ABSOLUTE,
        required_when=_ANY,
        low="50 kPa",
        high="50 MPa",
        low_ask="200 kPa",
        high_ask="35 MPa",
        example='"300 kPa gauge"',
    ),
    Parameter(
        "feed_pressure",
        "pressure",
        "Pressure of the feed pump ahead of the high-pressure pump of direct injection.",
        basis=("gauge",),
        stored_basis="gauge",
        refused_basis=_NOT_ABSOLUTE,
        required_when=_DIRECT,
        low="50 kPa",
        high="2000 kPa",
        low_ask="200 kPa",
        high_ask="1000 kPa",
        example='"500 kPa gauge"',
    ),
)
_PUMPS = (
    Parameter(
        "pump",
        "choice",
        "electric: a pump in or at the tank by its flow curve; none: it is not described.",
        choices=("none", "electric"),
        default="none",
        default_status="assumed",
        used_when=When("pump", ("electric",)),  # none needs nobody to confirm it
    ),
    Parameter(
        "pump_count",
        "integer",
        "Pumps side by side.",
        used_when=_PUMP,
        default=1,
        default_status="assumed",
        low=1,
        high=6,
    ),
    Parameter(
        "pump_flow",
        "volume_flow",
        "Flow of one pump over the pressure at its outlet, from its sheet or measured into a can.",
        axis="pressure",
        axis_basis="gauge",
        axis_only=True,
        refused_basis={
            "absolute": "a pump works from a tank that is open to the air: take the air's pressure off and write gauge."
        },
        required_when=_PUMP,
        low="0 L/h",
        high="3000 L/h",
        high_ask="1000 L/h",
        example='{ pressure = [200, 300, 400, 500], unit = "kPa", basis = "gauge", value = [265, 245, 220, 190], '
        'value_unit = "L/h" }',
    ),
    Parameter(
        "pump_flow_voltage",
        "voltage",
        "Voltage at which that curve was taken.",
        required_when=_PUMP,
        low="6 V",
        high="30 V",
        low_ask="11 V",
        high_ask="16 V",
        example='"13.5 V"',
    ),
    Parameter(
        "pump_voltage",
        "voltage",
        "Voltage at the pump's own terminals, engine running at full load: the wires take their part.",
        required_when=_PUMP,
        low="6 V",
        high="30 V",
        low_ask="11 V",
        high_ask="16 V",
        example='"13.0 V"',
    ),
    Parameter(
        "line_pressure_drop",
        "pressure",
        "Loss from pump to rail, filter included. A difference, so neither gauge nor absolute.",
        used_when=_PUMP,
        default="0 kPa",
        default_status="assumed",
        low="0 kPa",
        high="300 kPa",
        high_ask="60 kPa",
    ),
    Parameter(
        "pump_margin_wanted",
        "dimensionless",
        "Least share of the pump's flow that is to come back unused.",
        used_when=_PUMP,
        default=0.15,
        default_status="common practice",
        low=0.0,
        high=0.9,
        high_ask=0.4,
        scale=100.0,
        outside_remedy='Write 0.15 or "15 %".',
    ),
)

SECTION = SectionSchema(
    "fuel_system",
    "Fuel system",
    "Injectors, rail and pump. Their margins run beside every point, and the one that is at its end is named.",
    (*_INJECTORS, *_RAIL, *_PUMPS),
)
