/** The gas path in flow order: which sections of the build belong to a part, and what stands at its outlet. */
export type Shape = "air" | "filter" | "compressor" | "cooler" | "throttle" | "engine" | "manifold" | "gate" | "turbine" | "exhaust";

export interface Part {
  id: string;
  title: string;
  /** Sections of build.toml whose fields open with it. */
  sections: readonly string[];
  /** What it decides, for somebody who asks where to turn. */
  hint?: string;
  shape?: Shape;
  /** What the numbers under it are: the station behind the part. */
  station?: string;
  pressure?: string;
  temperature?: string;
}

export const GAS_PATH: readonly Part[] = [
  { id: "air", hint: "Drag the altitude to drive up the hill.", title: "Outside air", sections: ["ambient"], shape: "air", station: "outside", pressure: "pressure_amb", temperature: "temperature_amb" },
  { id: "intake", title: "Filter", sections: ["intake"], shape: "filter", station: "compressor inlet", pressure: "pressure_1", temperature: "temperature_1" },
  { id: "compressor", hint: "Another card is another compressor: the operating line below shows whether it fits.", title: "Compressor", sections: ["compressor", "shaft"], shape: "compressor", station: "compressor outlet", pressure: "pressure_2", temperature: "temperature_2" },
  { id: "cooler", hint: "What it takes out of the charge decides knock and how much air fits in.", title: "Charge cooler", sections: ["charge_cooler"], shape: "cooler", station: "boost pipe", pressure: "pressure_bp", temperature: "temperature_bp" },
  { id: "throttle", title: "Throttle", sections: ["throttle"], shape: "throttle", station: "intake manifold", pressure: "pressure_im", temperature: "temperature_im" },
  { id: "engine", title: "Engine", sections: ["engine", "breathing", "cylinder", "spark", "runners", "driveline"], shape: "engine" },
  { id: "manifold", title: "Manifold", sections: ["exhaust_manifold", "probe"], shape: "manifold", station: "exhaust manifold", pressure: "pressure_em", temperature: "temperature_em" },
  { id: "gate", hint: "Valve, branch and spring decide how early the gate opens, and whether boost can be held down at the top.", title: "Wastegate", sections: ["wastegate", "boost_control"], shape: "gate", station: "ahead of the gate", pressure: "pressure_g", temperature: "temperature_g" },
  { id: "turbine", hint: "The size of the housing is its choked flow: a larger one swallows more, comes in later and pushes back less. A/R is no area.", title: "Turbine", sections: ["turbine"], shape: "turbine", station: "downpipe", pressure: "pressure_4", temperature: "temperature_4" },
  { id: "exhaust", title: "Exhaust", sections: ["exhaust"], shape: "exhaust" },
];

/** What is no station of the gas path. */
export const BESIDE: readonly Part[] = [
  { id: "build", title: "Build", sections: [""] },
  { id: "fuel", title: "Fuel", sections: ["fuel", "fuel_system"] },
  { id: "rods", hint: "What the rods bear, by belief or by measure: the lower one caps torque.", title: "Rods", sections: ["rods"] },
  { id: "limits", hint: "What you do not want to pass: each becomes a row of the strip below the map.", title: "Limits", sections: ["limits"] },
  { id: "plan", title: "Plan", sections: ["plan", "prediction", "power_correction", "dyno"] },
  { id: "shop", title: "Sensors and shop", sections: ["sensors", "oil", "coolant", "hoses", "fail_safes", "clearance"] },
];

export const PARTS: readonly Part[] = [...GAS_PATH, ...BESIDE];

/** The part a section or key belongs to; what no part names is with the shop's. */
export function partOf(key: string): Part {
  const section = key.includes(".") ? (key.split(".")[0] ?? "") : "";
  return PARTS.find((part) => part.sections.includes(section)) ?? SHOP;
}
const SHOP = BESIDE[BESIDE.length - 1] as Part;

/** Sections nobody claims, such as the head of the file, are shown with the shop's. */
export function sectionsOf(part: Part, names: readonly string[]): string[] {
  const claimed = new Set(PARTS.flatMap((item) => item.sections));
  const own = part.sections.filter((name) => names.includes(name));
  return part === SHOP ? [...names.filter((name) => !claimed.has(name)), ...own] : own;
}
