"""Every page that explains a model: the relations it stands on and the picture at its end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fnmatch import fnmatchcase

from boostwright.physics.relation import Relation
from boostwright.proof.runner import load_relations
from tools.explain import cylinders, doubts, fuels, gases, heats, runners, strength, transients, turbo
from tools.explain.sheet import Sheet

__all__ = ["PAGES", "Page", "relations_of_page"]


@dataclass(frozen=True)
class Page:
    """A page of docs/explain.

    name       file name without its ending
    relations  patterns of dotted names below ``physics``
    shows      what the picture shows, in a sentence
    draw       draws it; None where the page already has a picture that a study made
    picture    name of that older picture
    points     where an older picture's published points are from; "" for none
    """

    name: str
    relations: tuple[str, ...]
    shows: str
    draw: Callable[[], Sheet] | None = None
    picture: str = ""
    points: str = ""

    @property
    def file(self) -> str:
        """Name of the picture in docs/pictures."""
        return self.picture or f"explain-{self.name}.png"


PAGES = (
    Page(
        "gas-properties",
        ("gas.mixture.*", "gas.exhaust.*", "gas.air.viscosity*", "gas.air.thermal*"),
        "Specific heat of dry air and of exhaust; composition of exhaust by lambda; the air of a compressor rig, whose "
        "values are those of a real gas and lie 0.1 % above an ideal one.",
        gases.gas_properties,
    ),
    Page(
        "atmosphere",
        (
            "gas.standard_atmosphere.*",
            "gas.air.*pressure*",
            "gas.air.hum*",
            "gas.air.dew*",
            "gas.air.rel*",
            "gas.air.den*",
        ),
        "The standard atmosphere; vapour pressure of water by two relations, and the water in the air of "
        "a compressor rig.",
        gases.atmosphere,
    ),
    Page(
        "exhaust-and-pipes",
        (
            "gas.restriction.*",
            "gas.isentropic.*",
            "gas.shock.*",
            "gas.pipe.*",
            "gas.fittings.loss_bend*",
            "gas.fittings.loss_mitre*",
        ),
        "Friction factor, and loss of round bends.",
        gases.exhaust_and_pipes,
    ),
    Page(
        "power-correction",
        ("power_correction.*", "driveline.*", "road_load.*"),
        "Factors by dry pressure at 25 degC; the two printed sums are brought there by the root of "
        "their temperature.",
        gases.power_correction_factors,
    ),
    Page(
        "cylinder",
        (
            "cylinder.trapped_charge.*",
            "cylinder.residual_gas.*",
            "cylinder.dissociation.*",
            "gas.exhaust.*",
            "cylinder.burn.burned_fraction*",
        ),
        "One cylinder of half a litre at 3000 1/min by phasing: work, peak pressure, gas at exhaust opening.",
        cylinders.cycle_picture,
    ),
    Page(
        "burn",
        ("cylinder.burn.*",),
        "Burned fraction by progress for two shapes; laminar burning velocity by lambda.",
        cylinders.burn_picture,
    ),
    Page(
        "wall-heat",
        ("cylinder.wall_heat.*", "heat.convection.*"),
        "Heat transfer coefficient by gas temperature and by piston speed.",
        cylinders.wall_heat_picture,
    ),
    Page(
        "knock",
        ("cylinder.knock.*",),
        "Ignition delay of the end gas; the integral by phasing for three charge temperatures.",
        cylinders.knock_picture,
    ),
    Page(
        "ideal-cycles",
        ("cylinder.air_standard.*", "cylinder.dissociation.*"),
        "What a mixture off lambda 1 does to the efficiency on released heat.",
        cylinders.ideal_cycles,
    ),
    Page(
        "friction-and-breathing",
        (
            "cylinder.friction.*",
            "cylinder.friction_by_place.*",
            "cylinder.breathing.*",
            "cylinder.valves.*",
            "cylinder.pumping.*",
            "cylinder.definitions.*",
        ),
        "Friction by author; what back-pressure leaves of the breathing; what the intake valves leave, by the rule and "
        "by a quasi-steady filling (cam of 245 deg).",
        cylinders.friction_and_breathing,
    ),
    Page(
        "rods",
        ("cylinder.slider_crank.*", "cylinder.scatter.*"),
        "Force in a rod at one peak pressure by speed; force that one torque means by phasing (hill-climb example).",
        strength.rods_picture,
    ),
    Page(
        "strength",
        ("strength.*",),
        "Critical stress of a column by slenderness; preload of fine threads beside a published table.",
        strength.strength_picture,
    ),
    Page(
        "limits",
        ("cylinder.scatter.*", "driveline.power_at_crankshaft"),
        "Use of the limits of the hill-climb example by engine speed; 100 % is the limit with its margin.",
        strength.limits_picture,
    ),
    Page(
        "uncertainty",
        ("gas.fittings.loss_branch*",),
        "Quantiles of the three spreads a band may have; torque of the hill-climb example with its band.",
        doubts.uncertainty,
    ),
    Page(
        "compressor",
        ("turbo.corrected.*", "turbo.compression.*", "turbo.compressor_similarity.*"),
        "An open map: the surface was made without the line drawn apart, and finds it.",
        turbo.compressor,
    ),
    Page(
        "turbine",
        ("turbo.turbine.*",),
        "An open axial turbine of 1974 beside the forms used for one number: the nozzle is high by up to 6.5 % and the "
        "diesel form low by up to 15 %. The parabola is fitted to the points.",
        turbo.turbine_picture,
    ),
    Page(
        "mean-lines",
        (
            "turbo.slip.*",
            "turbo.compressor_mean_line.*",
            "turbo.wheel_passages.*",
            "turbo.vaneless_diffuser.*",
            "turbo.turbine_mean_line.*",
        ),
        "Measured points and mean lines of three machines, as above.",
        picture="mean-lines.png",
        points="Points were read in their source: `skoch-1997`, `harrison-2023`; `eckardt-1976` second-hand. The "
        "turbine has no published points yet.",
    ),
    Page(
        "shaft",
        ("turbo.shaft.*",),
        "Expansion ratio that a compressor asks of its turbine, by overall efficiency.",
        turbo.shaft_picture,
    ),
    Page(
        "gate-and-junctions",
        ("gas.fittings.*", "turbo.poppet.*", "gas.orifice.*"),
        "Loss of the takeoff by three relations; effective area of the valve.",
        turbo.gate_and_junctions,
    ),
    Page(
        "actuator-plumbing",
        ("turbo.actuator.*",),
        "Signal at which a 0.6 bar spring lets go, by the exhaust across the valve.",
        turbo.actuator_plumbing,
    ),
    Page(
        "boost-creep",
        ("gas.fittings.loss_branch*", "turbo.poppet.effective*", "turbo.actuator.poppet_lift"),
        "Boost and lift along a pull, as above.",
        picture="boost-creep.png",
    ),
    Page(
        "charge-cooler",
        ("heat.exchanger.*",),
        "Effectiveness by transfer units; what becomes of one known point as flow changes.",
        heats.charge_cooler,
    ),
    Page(
        "radiation",
        ("heat.radiation.*",),
        "Heat that a hot surface sends to a cold one, bare and behind shields; a small body among cold walls.",
        heats.radiation_picture,
    ),
    Page(
        "temperature-probe",
        ("heat.probe.*", "heat.probe_lag.*"),
        "Heat transfer to wire and bead; what radiation takes off the reading; the lag.",
        heats.temperature_probe,
    ),
    Page(
        "lambda-probe",
        ("lambda_probe.*",),
        "What pressure makes of a reading, the constant for rich gas from half to twice the lean one; nominal pump "
        "current beside the oxygen of lean gas of an H/C of 2; how late a reading is by exhaust flow.",
        heats.lambda_probe_picture,
    ),
    Page(
        "runners",
        (
            "cylinder.trapped_charge.*",
            "cylinder.residual_gas.*",
            "heat.probe.recovery*",
            "heat.probe.probe_temp*",
        ),
        "One cylinder of the hill-climb example with more and less fuel than the others, mean lambda 0.95: what "
        "a probe in its runner shows, and its knock integral.",
        runners.runners_picture,
    ),
    Page(
        "fuels-and-blends",
        ("gas.fuel.*", "gas.fuel_vapour.*"),
        "Stoichiometric air and research octane number of ethanol in petrol.",
        fuels.fuels_and_blends,
    ),
    Page(
        "fuel-system",
        ("fuel_system.*",),
        "What an injector passes by pressure difference; what a pump keeps of its curve by voltage.",
        fuels.fuel_feed,
    ),
    Page(
        "transient",
        ("turbo.inertia.*", "turbo.surge.*"),
        "The hill-climb example: boost in pulls at three ramps beside the steady state; flow and pressure ratio of the "
        "compressor in the first 0.8 s after lift-off, with a relief valve and without.",
        transients.transient_picture,
    ),
    Page(
        "solver",
        ("turbo.shaft.*", "gas.orifice.*", "turbo.actuator.poppet_lift"),
        "The hill-climb example: gate shut, on its spring, gate open. Gate shut has a steady state only below the "
        "speed at which it runs away.",
        turbo.solver,
    ),
)


def relations_of_page(page: Page) -> dict[str, Relation]:
    """Relations of the physics that a page names, by dotted name."""
    known = load_relations()
    return {name: known[name] for name in sorted(known) if any(fnmatchcase(name, p) for p in page.relations)}
