"""Column names and units as logs have them, in several languages, each with what it is: for judging the mapping.

Names are the trade's own words. What cannot be known from the file (torque without a place, hp) has its truth all the
same; there the right thing is to ask.
"""

from __future__ import annotations

from tests.support.invented_log import Truth

A, G = "absolute", "gauge"


def _t(channel: str | None, unit: str = "", basis: str = "") -> Truth:
    return Truth(channel, unit, basis)


ENGLISH_METRIC = {
    "engine_speed": ("Engine Speed", "rpm", _t("engine_speed", "rpm")),
    "pressure_im": ("Manifold Pressure", "kPa", _t("pressure_im", "kPa", A)),
    "pressure_amb": ("Barometric Pressure", "kPa", _t("pressure_amb", "kPa", A)),
    "throttle_position": ("Throttle Position", "%", _t("throttle_position", "%")),
    "pedal_position": ("Accelerator Pedal", "%", _t("pedal_position", "%")),
    "vehicle_speed": ("Vehicle Speed", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Intake Air Temp", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Coolant Temp", "°C", _t("temperature_coolant", "degC")),
    "temperature_oil": ("Oil Temp", "°C", _t("temperature_oil", "degC")),
    "lambda": ("Lambda 1", "λ", _t("lambda_1", "")),
    "angle_spark": ("Ignition Timing", "° BTDC", _t("angle_spark", "deg")),
    "injector_duty": ("Injector Duty Cycle", "%", _t("injector_duty", "%")),
    "injector_time": ("Injector Pulse Width", "ms", _t("injector_time", "ms")),
    "solenoid_duty": ("Boost Solenoid Duty", "%", _t("solenoid_duty", "%")),
    "egt_reading_1": ("EGT Cyl 1", "°C", _t("egt_reading_1", "degC")),
    "egt_reading_2": ("EGT Cyl 2", "°C", _t("egt_reading_2", "degC")),
    "pressure_em_static": ("Exhaust Manifold Pressure", "kPa abs", _t("pressure_em_static", "kPa", A)),
    "pressure_oil": ("Oil Pressure", "bar", _t("pressure_oil", "bar", G)),
    "voltage_battery": ("Battery Voltage", "V", _t("voltage_battery", "V")),
    "gear": ("Gear", "", _t("gear", "")),
}

ENGLISH_IMPERIAL = {
    "engine_speed": ("RPM", "", _t("engine_speed", "rpm")),
    "boost": ("Boost", "psi", _t("boost", "psi", G)),
    "throttle_position": ("TPS", "%", _t("throttle_position", "%")),
    "vehicle_speed": ("Speed", "mph", _t("vehicle_speed", "mph")),
    "temperature_im": ("IAT", "F", _t("temperature_im", "degF")),
    "temperature_coolant": ("ECT", "F", _t("temperature_coolant", "degF")),
    "air_fuel_ratio": ("Wideband AFR", "AFR", _t("air_fuel_ratio", "")),
    "mass_flow_air": ("MAF", "lb/min", _t("mass_flow_air", "lb/min")),
    "fuel_pressure": ("Fuel Pressure", "psi", _t("fuel_pressure", "psi", A)),
    "pressure_oil": ("Oil Press", "psi", _t("pressure_oil", "psi", G)),
    "egt_reading": ("EGT", "°F", _t("egt_reading", "degF")),
    "fuel_trim_short": ("Short Term Fuel Trim", "%", _t("fuel_trim_short", "%")),
    "fuel_trim_long": ("Long Term Fuel Trim", "%", _t("fuel_trim_long", "%")),
    "torque": ("Torque", "ft-lb", _t("torque", "lbf*ft")),
    "power": ("Power", "hp", _t("power", "hp (mechanical)")),
    "knock_retard": ("Knock Retard", "deg", _t("knock_retard", "deg")),
    "voltage_battery": ("Batt V", "V", _t("voltage_battery", "V")),
}

GERMAN = {
    "engine_speed": ("Motordrehzahl", "U/min", _t("engine_speed", "rpm")),
    "pressure_im": ("Saugrohrdruck", "mbar", _t("pressure_im", "mbar", A)),
    "pressure_amb": ("Umgebungsdruck", "mbar", _t("pressure_amb", "mbar", A)),
    "throttle_position": ("Drosselklappenstellung", "%", _t("throttle_position", "%")),
    "pedal_position": ("Fahrpedal", "%", _t("pedal_position", "%")),
    "vehicle_speed": ("Fahrzeuggeschwindigkeit", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Ansauglufttemperatur", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Kühlmitteltemperatur", "°C", _t("temperature_coolant", "degC")),
    "temperature_oil": ("Öltemperatur", "°C", _t("temperature_oil", "degC")),
    "lambda": ("Lambda", "-", _t("lambda", "")),
    "mass_flow_air": ("Luftmassenstrom", "kg/h", _t("mass_flow_air", "kg/h")),
    "angle_spark": ("Zündwinkel", "°KW", _t("angle_spark", "deg")),
    "egt_reading": ("Abgastemperatur vor Turbine", "°C", _t("egt_reading", "degC")),
    "pressure_em_static": ("Abgasdruck vor Turbine", "bar abs", _t("pressure_em_static", "bar", A)),
    "pressure_oil": ("Öldruck", "bar", _t("pressure_oil", "bar", G)),
    "injector_time": ("Einspritzzeit", "ms", _t("injector_time", "ms")),
    "voltage_battery": ("Batteriespannung", "V", _t("voltage_battery", "V")),
    "torque": ("Motordrehmoment", "Nm", _t("torque", "Nm")),
    "temperature_amb": ("Außentemperatur", "°C", _t("temperature_amb", "degC")),
    "solenoid_duty": ("Tastverhältnis Ladedruckregelventil", "%", _t("solenoid_duty", "%")),
}

FRENCH = {
    "engine_speed": ("Régime moteur", "tr/min", _t("engine_speed", "rpm")),
    "pressure_im": ("Pression collecteur admission", "mbar", _t("pressure_im", "mbar", A)),
    "throttle_position": ("Position papillon", "%", _t("throttle_position", "%")),
    "vehicle_speed": ("Vitesse véhicule", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Température air admission", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Température eau", "°C", _t("temperature_coolant", "degC")),
    "temperature_oil": ("Température huile", "°C", _t("temperature_oil", "degC")),
    "pressure_oil": ("Pression huile", "bar", _t("pressure_oil", "bar", G)),
    "lambda": ("Richesse lambda", "", _t("lambda", "")),
    "angle_spark": ("Avance allumage", "°", _t("angle_spark", "deg")),
    "egt_reading": ("Température échappement avant turbine", "°C", _t("egt_reading", "degC")),
    "voltage_battery": ("Tension batterie", "V", _t("voltage_battery", "V")),
    "mass_flow_air": ("Débit d'air", "kg/h", _t("mass_flow_air", "kg/h")),
    "torque": ("Couple moteur", "Nm", _t("torque", "Nm")),
}

SPANISH = {
    "engine_speed": ("Régimen del motor", "rpm", _t("engine_speed", "rpm")),
    "pressure_im": ("Presión absoluta colector", "kPa", _t("pressure_im", "kPa", A)),
    "throttle_position": ("Posición mariposa", "%", _t("throttle_position", "%")),
    "vehicle_speed": ("Velocidad del vehículo", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Temperatura aire admisión", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Temperatura refrigerante", "°C", _t("temperature_coolant", "degC")),
    "pressure_oil": ("Presión de aceite", "bar", _t("pressure_oil", "bar", G)),
    "angle_spark": ("Avance encendido", "°", _t("angle_spark", "deg")),
    "mass_flow_air": ("Caudal de aire", "g/s", _t("mass_flow_air", "g/s")),
}

ITALIAN = {
    "engine_speed": ("Giri motore", "giri/min", _t("engine_speed", "rpm")),
    "pressure_im": ("Pressione collettore aspirazione", "mbar", _t("pressure_im", "mbar", A)),
    "throttle_position": ("Farfalla", "%", _t("throttle_position", "%")),
    "vehicle_speed": ("Velocità veicolo", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Temperatura aria aspirata", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Temperatura acqua", "°C", _t("temperature_coolant", "degC")),
    "temperature_oil": ("Temperatura olio", "°C", _t("temperature_oil", "degC")),
    "pressure_oil": ("Pressione olio", "bar", _t("pressure_oil", "bar", G)),
    "angle_spark": ("Anticipo accensione", "°", _t("angle_spark", "deg")),
    "voltage_battery": ("Tensione batteria", "V", _t("voltage_battery", "V")),
}

POLISH = {
    "engine_speed": ("Obroty silnika", "obr/min", _t("engine_speed", "rpm")),
    "pressure_im": ("Ciśnienie w kolektorze", "kPa", _t("pressure_im", "kPa", A)),
    "vehicle_speed": ("Prędkość pojazdu", "km/h", _t("vehicle_speed", "km/h")),
    "temperature_im": ("Temperatura powietrza dolotowego", "°C", _t("temperature_im", "degC")),
    "temperature_coolant": ("Temperatura płynu chłodzącego", "°C", _t("temperature_coolant", "degC")),
    "throttle_position": ("Przepustnica", "%", _t("throttle_position", "%")),
    "angle_spark": ("Kąt zapłonu", "°", _t("angle_spark", "deg")),
}

SWEDISH = {
    "engine_speed": ("Motorvarvtal", "varv/min", _t("engine_speed", "rpm")),
    "boost": ("Laddtryck", "bar", _t("boost", "bar", G)),
    "temperature_coolant": ("Kylvattentemperatur", "°C", _t("temperature_coolant", "degC")),
    "temperature_oil": ("Oljetemperatur", "°C", _t("temperature_oil", "degC")),
    "pressure_oil": ("Oljetryck", "bar", _t("pressure_oil", "bar", G)),
    "vehicle_speed": ("Hastighet", "km/h", _t("vehicle_speed", "km/h")),
    "egt_reading": ("Avgastemperatur", "°C", _t("egt_reading", "degC")),
}

TERSE_NO_UNITS = {
    "engine_speed": ("rpm", "", _t("engine_speed", "rpm")),
    "pressure_im": ("map", "", _t("pressure_im", "kPa", A)),
    "throttle_position": ("tps", "", _t("throttle_position", "%")),
    "temperature_coolant": ("clt", "", _t("temperature_coolant", "degC")),
    "temperature_im": ("iat", "", _t("temperature_im", "degC")),
    "air_fuel_ratio": ("afr", "", _t("air_fuel_ratio", "")),
    "lambda": ("lambda", "", _t("lambda", "")),
    "vehicle_speed": ("vss", "", _t("vehicle_speed", "km/h")),
    "injector_duty": ("inj duty", "", _t("injector_duty", "%")),
    "injector_time": ("pw", "", _t("injector_time", "ms")),
    "angle_spark": ("spark", "", _t("angle_spark", "deg")),
    "voltage_battery": ("batt", "", _t("voltage_battery", "V")),
    "pressure_amb": ("baro", "", _t("pressure_amb", "kPa", A)),
    "egt_reading": ("egt", "", _t("egt_reading", "degC")),
    "mass_flow_air": ("maf", "", _t("mass_flow_air", "g/s")),
}

TURBO_RIG = {
    "engine_speed": ("engine_speed", "1/min", _t("engine_speed", "rpm")),
    "shaft_speed": ("Turbo Speed", "krpm", _t("shaft_speed", "krpm")),
    "pressure_2_static": ("Compressor Outlet Pressure", "bar", _t("pressure_2_static", "bar", A)),
    "pressure_bp_static": ("Pre-Throttle Pressure", "bar(g)", _t("pressure_bp_static", "bar", G)),
    "pressure_em_static": ("EMAP", "bar", _t("pressure_em_static", "bar", A)),
    "pressure_4_static": ("Post Turbine Pressure", "kPa", _t("pressure_4_static", "kPa", A)),
    "pressure_im": ("MAP", "bar", _t("pressure_im", "bar", A)),
    "temperature_2": ("Compressor Out Temp", "°C", _t("temperature_2", "degC")),
    "temperature_bp": ("Post Intercooler Temp", "°C", _t("temperature_bp", "degC")),
    "egt_reading_3": ("EGT 3", "K", _t("egt_reading_3", "K")),
    "torque_wheel": ("Wheel Torque", "Nm", _t("torque_wheel", "Nm")),
    "injector_duty": ("IDC", "%", _t("injector_duty", "%")),
    "solenoid_duty": ("Wastegate Duty", "%", _t("solenoid_duty", "%")),
}

TRAPS = {
    "engine_speed": ("Engine RPM", "rpm", _t("engine_speed", "rpm")),
    "pressure_im": ("Boost Pressure", "kPa", _t("pressure_im", "kPa", A)),
    "boost#2": ("MAP", "psi", _t("boost", "psi", G)),
    "lambda": ("AFR Sensor Lambda", "", _t("lambda", "")),
    "temperature_coolant": ("Coolant Sensor Voltage", "V", _t(None)),
    "throttle_position": ("TPS Voltage", "V", _t(None)),
    "mass_flow_air": ("MAF Voltage", "V", _t(None)),
    "solenoid_duty": ("Boost Target Error", "kPa", _t(None)),
    "angle_spark": ("Cam Timing Inlet", "deg", _t(None)),
    "vehicle_speed": ("Drive Shaft Speed", "rpm", _t(None)),
    "pressure_oil": ("Brake Pressure", "bar", _t(None)),
    "temperature_oil": ("Max Oil Temp", "°C", _t(None)),
    "pressure_em_static": ("Exhaust Pressure", "kPa", _t("pressure_em_static", "kPa", A)),
    "injector_time": ("Knock Window", "ms", _t(None)),
}

# names from a second hand, written down after the tables of words were made; what they showed to be missing is in now
STRANGERS = {
    "engine_speed": ("N_ENG", "rpm", _t("engine_speed", "rpm")),
    "pressure_im": ("Inlet manifold press.", "mbar abs", _t("pressure_im", "mbar", A)),
    "torque": ("Flywheel torque", "Nm", _t("torque", "Nm")),
    "torque_wheel": ("Hub torque", "Nm", _t("torque_wheel", "Nm")),
    "temperature_coolant": ("Koelwatertemperatuur", "°C", _t("temperature_coolant", "degC")),
    "throttle_position": ("Thr Pos", "%", _t("throttle_position", "%")),
    "pedal_position": ("Drivers demand", "%", _t("pedal_position", "%")),
    "lambda": ("UEGO", "lambda", _t("lambda", "")),
    "air_fuel_ratio": ("A/F ratio", "", _t("air_fuel_ratio", "")),
    "egt_reading": ("Turbine in temp", "°C", _t("egt_reading", "degC")),
    "temperature_oil": ("Sump temp", "°C", _t("temperature_oil", "degC")),
    "temperature_bp": ("IC outlet temp", "°C", _t("temperature_bp", "degC")),
    "voltage_battery": ("Rear brake temp", "°C", _t(None)),
    "shaft_speed": ("Gearbox input speed", "rpm", _t(None)),
    "vehicle_speed": ("Wind speed", "km/h", _t(None)),
}

HABITS = {
    "english metric": ENGLISH_METRIC, "english imperial": ENGLISH_IMPERIAL, "german": GERMAN, "french": FRENCH,
    "spanish": SPANISH, "italian": ITALIAN, "polish": POLISH, "swedish": SWEDISH, "terse": TERSE_NO_UNITS,
    "turbo rig": TURBO_RIG, "strangers": STRANGERS, "traps": TRAPS,
}  # fmt: skip
"""Name of a habit -> its columns."""
