"""Which notions in a name mean which channel, and which of them leave it open."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Candidate", "candidates"]


@dataclass(frozen=True)
class Candidate:
    """A channel a name may mean, how surely (0 to 1) as far as the name goes, and in words why."""

    channel: str
    sure: float
    why: str


_NEVER = frozenset("error integral raw flag egr brake fan steering clutch per cam limit model average acceleration".split())
_FREE = frozenset("neutral actual absolute gauge".split())

# channel: alternatives of notions that must all be there, parted by |; behind a slash, what must not be there;
# an alternative that ends in ? fits but leaves doubt
_RULES = """
engine_speed: rotation | engine rotation | engine speed | speed rotation | engine speed rotation / turbo shaft turbine compressor wheel vehicle gearbox roller target gps
shaft_speed: turbo speed | turbo rotation | shaft speed | shaft rotation | turbo shaft speed | turbo shaft rotation | compressor speed | compressor rotation | turbine speed | turbine rotation / gearbox vehicle wheel target engine
vehicle_speed: vehicle speed | vehicle wheel speed | vehicle / engine turbo shaft compressor turbine gps roller rotation target maf flow pressure temperature
vehicle_speed: speed / engine turbo shaft compressor turbine gps wheel roller rotation target maf flow
vehicle_speed_gps: gps speed / target
wheel_speed: wheel speed / target engine vehicle
vehicle_speed_roller: roller speed / target
gear: gear | gear position / target gearbox
throttle_position: throttle | throttle position | throttle angle / target pressure temperature pedal before after
throttle_target: throttle target | throttle position target / pressure
pedal_position: pedal | pedal position | pedal throttle position? | throttle pedal? / target brake
pressure_amb: baro | ambient pressure | baro pressure | ambient baro | ambient baro pressure | ambient air pressure / target temperature
pressure_im: map | map pressure | map manifold pressure | map intake manifold pressure | intake manifold | intake manifold pressure | manifold pressure | intake manifold pressure | intake pressure? | boost pressure absolute | boost absolute | map boost? / target exhaust temperature before after cooler compressor turbine turbo gate emap
boost: boost | boost pressure | boost pressure gauge | boost gauge | boost turbo? | boost turbo pressure | turbo pressure? | boost manifold pressure? / target duty solenoid gate absolute temperature exhaust before after cooler compressor turbine map emap
pressure_im_target: map target | manifold pressure target | intake manifold pressure target | boost pressure target absolute | boost target absolute / duty temperature exhaust solenoid
boost_target: boost target | boost pressure target / duty solenoid gate absolute temperature
pressure_1_static: compressor before pressure | compressor intake pressure | compressor intake before pressure / temperature exhaust target
pressure_2_static: compressor after pressure | compressor pressure? | turbo after pressure? | compressor after pressure boost | cooler before pressure? / temperature exhaust turbine target before
pressure_bp_static: cooler after pressure | throttle before pressure | throttle intake pressure? | boost throttle before pressure | throttle before pressure manifold? / temperature exhaust target turbine
pressure_em_static: emap | emap pressure | exhaust manifold pressure | turbine before pressure | turbine intake pressure | turbine intake before pressure | exhaust turbine before pressure | exhaust turbo before pressure | exhaust before pressure? | exhaust pressure? | exhaust backpressure pressure? | backpressure? | backpressure pressure? | exhaust backpressure? | turbo before pressure? / temperature after target gate difference
pressure_4_static: turbine after pressure | exhaust turbine after pressure | exhaust turbo after pressure | exhaust after pressure? | exhaust pressure after turbo / temperature before target gate
pressure_g_static: gate before pressure | gate intake pressure? / temperature target
gate_pressure: gate pressure? / target before after temperature
temperature_amb: ambient temperature | ambient air temperature | ambient? / pressure target intake
temperature_1: compressor before temperature | compressor intake temperature | compressor intake before temperature / pressure exhaust target
temperature_2: compressor after temperature | compressor temperature? | turbo after temperature? | cooler before temperature? | cooler intake temperature? / pressure exhaust turbine target
temperature_bp: cooler after temperature | cooler after temperature intake? | throttle before temperature? | cooler temperature? / pressure exhaust target before coolant
temperature_im: iat | iat temperature | intake temperature | intake air temperature | manifold temperature | intake manifold temperature | intake manifold air temperature | intake air iat temperature | iat intake temperature | boost temperature? | boost air temperature? | air temperature? | map temperature? / pressure exhaust compressor cooler target ambient before after coolant
temperature_coolant: coolant | coolant temperature | engine coolant temperature | engine coolant | engine temperature? / pressure oil level flow target gearbox cooler intake
pressure_coolant: coolant pressure | engine coolant pressure / temperature
temperature_oil: oil temperature | engine oil temperature | oil? / pressure gearbox level coolant target fuel
pressure_oil: oil pressure | engine oil pressure / temperature gearbox target fuel
temperature_gearbox: gearbox temperature | gearbox oil temperature / pressure engine
temperature_fuel: fuel temperature | fuel rail temperature / pressure ethanol
fuel_pressure: fuel pressure | fuel rail pressure | rail pressure / temperature target difference
injector_pressure_difference: fuel difference pressure | fuel difference | injector difference pressure | fuel rail difference pressure / temperature target
egt_reading: egt | exhaust temperature | egt temperature | egt exhaust temperature | turbine before temperature | turbine intake temperature | exhaust turbine before temperature | exhaust turbo before temperature | exhaust manifold temperature | exhaust cylinder temperature | egt cylinder | egt cylinder temperature | egt turbine before | egt before? | egt turbo before | egt cylinder exhaust temperature / pressure after target
egt_reading_4: egt after | egt turbine after | egt turbo after | exhaust after temperature? | turbine after temperature | exhaust turbine after temperature | exhaust turbo after temperature / pressure before target
lambda: lambda | lambda cylinder | lambda bank | lambda actual / target voltage afr trim share temperature time current power pressure
lambda_target: lambda target / voltage afr trim
air_fuel_ratio: afr | lambda afr | afr bank | afr cylinder | lambda afr bank / target voltage trim
air_fuel_ratio_target: afr target | lambda afr target / voltage trim
mass_flow_air: maf | maf flow | maf mass | maf mass flow | maf air mass flow | air mass flow | air mass | air flow | intake air mass flow | maf intake | maf air mass? | engine maf | intake maf flow / voltage target fuel per pressure temperature
fuel_flow: fuel flow | fuel mass flow | engine fuel flow | fuel flow difference? / target pressure temperature per
injector_duty: injector duty | fuel injector duty / target boost
injector_time: injector time | fuel injector time | injector / target duty pressure temperature angle flow voltage spark
fuel_trim_short: trim short | fuel trim short | trim short bank | fuel trim short bank / long target spark
fuel_trim_long: trim long | fuel trim long | trim long bank | fuel trim long bank / short target spark
ethanol_share: ethanol | ethanol share | ethanol fuel share | ethanol fuel? / temperature pressure time
angle_spark: spark | spark angle | spark actual | spark cylinder | spark cylinder angle | spark engine angle? | engine angle? / knock retard target time voltage trim error pressure temperature intake
knock_retard: knock retard | knock spark retard | spark retard? | knock retard cylinder | knock spark retard cylinder / voltage
knock_level: knock level | knock level cylinder | knock? | knock voltage? | knock cylinder? / retard
solenoid_duty: boost duty | gate duty | solenoid duty | boost solenoid duty | gate solenoid duty | solenoid? | boost solenoid | gate solenoid | boost gate duty | boost gate solenoid duty | turbo duty? | turbo solenoid? | boost pressure duty? | gate duty target? / injector position pressure temperature fuel
gate_position: gate position | gate position actual | gate? / pressure duty target solenoid
voltage_battery: battery | battery voltage | engine battery voltage / current temperature
torque_wheel: wheel torque | roller torque? / target engine
torque: engine torque / target wheel roller
torque_open: torque? / target wheel engine roller
power_wheel: wheel power | roller power? / target engine
power: engine power / target wheel roller
power_open: power? / target wheel engine roller lambda voltage
engine_load: load | engine load | engine load share? / target pressure
humidity: humidity | ambient humidity | ambient air humidity | air humidity
latitude: latitude | gps latitude
longitude: longitude | gps longitude
"""


def _parsed() -> list[tuple[str, list[tuple[frozenset[str], bool]], frozenset[str]]]:
    rules = []
    for line in _RULES.strip().splitlines():
        channel, _, rest = line.partition(":")
        wanted, _, forbidden = rest.partition("/")
        alternatives = []
        for text in wanted.split("|"):
            doubt = "?" in text
            alternatives.append((frozenset(text.replace("?", " ").split()), doubt))
        rules.append((channel.strip(), alternatives, frozenset(forbidden.split())))
    return rules


_PARSED = _parsed()


def candidates(found: frozenset[str], unknown: tuple[str, ...]) -> tuple[Candidate, ...]:
    """The channels a name may mean, the surest first; () where it means none of ours.

    found    its notions
    unknown  words of it that are not known, which leave doubt
    """
    if found & _NEVER:
        return ()
    words = found - _FREE
    best: dict[str, tuple[int, float]] = {}
    for channel, alternatives, forbidden in _PARSED:
        if words & forbidden:
            continue
        for wanted, doubt in alternatives:
            if not wanted <= found:
                continue
            left = words - wanted - {"position", "air", "engine", "share"}
            sure = 0.6 if doubt else 0.98
            sure -= 0.25 * bool(left) + 0.25 * bool(unknown)
            score = (len(wanted), sure)
            if score > best.get(channel, (0, 0.0)):
                best[channel] = score
    if not best:
        return ()
    most = max(best.values())[0]
    kept = [(channel, sure) for channel, (size, sure) in best.items() if size == most]
    kept.sort(key=lambda pair: -pair[1])
    reason = f"the name speaks of {', '.join(sorted(words))}"
    if unknown:
        reason += f", and has words not known here: {', '.join(unknown)}"
    if len(kept) > 1 and kept[0][1] - kept[1][1] < 0.2:
        kept = [(channel, min(sure, 0.6)) for channel, sure in kept]
    return tuple(Candidate(channel, max(sure, 0.1), reason) for channel, sure in kept)
