/** Limits in words: what binds, why, and what would release it. Keys are those of build.toml, to jump to. */
import { words } from "../lib/format";

interface Release {
  /** As it reads behind "bound by". */
  short: string;
  why: string;
  release: string;
  keys: readonly string[];
}

const KNOWN: Record<string, Release> = {
  spool: {
    short: "spool",
    why: "the gate is shut and the turbine gives all it can at this flow",
    release: "A tighter turbine (smaller choked flow) spools earlier and costs drive pressure at the top; less back-pressure behind it helps at both ends.",
    keys: ["turbine.choked_flow", "exhaust.pressure_drop"],
  },
  "boost-target": {
    short: "the boost target",
    why: "the gate holds the target: no part is at its end",
    release: "Raise the target here, as far as the next limit in the strip allows.",
    keys: ["boost_control.target"],
  },
  "creep-floor": {
    short: "the creep floor",
    why: "the gate is fully open and boost still stands above what is asked",
    release: "More gas has to get past the turbine: a larger valve, a branch that leaves more in the line of flow, or a larger turbine.",
    keys: ["wastegate.valve_diameter", "wastegate.takeoff_angle", "turbine.choked_flow"],
  },
  "gate-pushed-open": {
    short: "the gate pushed open",
    why: "exhaust pressure on the valve opens the gate before boost does",
    release: "A stiffer spring, a smaller valve or a larger diaphragm holds the gate shut longer; so does less exhaust pressure.",
    keys: ["wastegate.spring_rating", "wastegate.diaphragm_diameter", "turbine.choked_flow"],
  },
  "no-gate": {
    short: "nothing: there is no gate",
    why: "without a gate boost goes wherever the turbine takes it",
    release: "Describe a wastegate.",
    keys: ["wastegate.kind"],
  },
  "no-turbo": {
    short: "nothing: the turbo is out",
    why: "the engine breathes by itself in this mode",
    release: "Choose another mode.",
    keys: [],
  },
  spring: {
    short: "the gate's spring",
    why: "the spring alone sets boost",
    release: "A stiffer spring, or boost control that bleeds the signal.",
    keys: ["wastegate.spring_rating"],
  },
  "torque-cap": {
    short: "the torque cap",
    why: "the torque that may be used is reached",
    release: "The cap is yours to raise only if what it protects is known to stand more.",
    keys: ["limits.torque"],
  },
  "rod-torque": {
    short: "the rods' torque",
    why: "the torque the rods are believed to hold is reached",
    release: "Less boost here, or rods that are known to hold more.",
    keys: ["rods.believed_torque", "boost_control.target"],
  },
  "rod-force": {
    short: "rod force",
    why: "a strong cycle presses the rods as hard as the believed torque implies",
    release: "Later phasing or less boost at this speed presses them less.",
    keys: ["boost_control.target", "rods.believed_torque"],
  },
  egt: {
    short: "exhaust temperature",
    why: "the probe reads its limit",
    release: "A richer mixture, earlier phasing where knock allows it, or less boost.",
    keys: ["fuel.lambda_target", "limits.egt_reading"],
  },
  knock: {
    short: "knock",
    why: "phasing stands at the knock limit",
    release: "Colder charge, more octane, or less boost.",
    keys: ["charge_cooler.effectiveness", "fuel.card"],
  },
  "compressor-surge": {
    short: "compressor surge",
    why: "the flow margin to the surge line is used up",
    release: "A smaller compressor, or less boost at low speed.",
    keys: ["compressor.card", "boost_control.target"],
  },
  "compressor-choke": {
    short: "compressor choke",
    why: "the compressor passes nearly all it can",
    release: "A larger compressor, or less boost at high speed.",
    keys: ["compressor.card", "boost_control.target"],
  },
  "shaft-speed": {
    short: "shaft speed",
    why: "the shaft turns as fast as it may",
    release: "A larger compressor, less restriction in the intake, or less boost; altitude makes it worse.",
    keys: ["compressor.card", "intake.pressure_drop"],
  },
  "drive-pressure-ratio": {
    short: "drive pressure",
    why: "the exhaust manifold stands too far above the intake manifold",
    release: "A larger turbine, a freer exhaust, or less boost at this speed.",
    keys: ["turbine.choked_flow", "exhaust.pressure_drop", "boost_control.target"],
  },
  injector: {
    short: "the injectors",
    why: "they are open nearly all the time",
    release: "Larger injectors or more rail pressure.",
    keys: ["fuel_system.injector_flow", "fuel_system.rail_pressure"],
  },
  pump: {
    short: "the fuel pump",
    why: "its margin is used up",
    release: "A larger pump, or more voltage at its terminals.",
    keys: ["fuel_system.pump_flow", "fuel_system.pump_voltage"],
  },
};

const TITLES: Record<string, string> = {
  egt: "EGT reading",
  "compressor-surge": "surge margin",
  "compressor-choke": "choke margin",
  "drive-pressure-ratio": "drive-pressure ratio",
  "rod-column": "rod buckling",
  injector: "injector duty",
  pump: "fuel pump",
};
/** Heads its row: "rod-force" -> "rod force"; the user's own limits by the names they gave them. */
export const limitTitle = (name: string): string => TITLES[name] ?? words(name);
export const limitWords = (name: string): string => KNOWN[name]?.short ?? words(name);
export const releaseOf = (name: string): Release | null => KNOWN[name] ?? null;
