"""Write the table of the invented radial turbine; see README.md. Run: python make_lines.py > table.csv"""

import math

WHEEL = 0.055  # m
CHOKED = 0.0280e-3  # kg sqrt(K) / (s Pa)
GAMMA, R = 1.33, 289.0
T_REF, P_REF = 288.15, 101325.0
PEAK, BEST = 0.70, 0.65
CP = GAMMA * R / (GAMMA - 1.0)
CRITICAL = ((GAMMA + 1.0) / 2.0) ** (GAMMA / (GAMMA - 1.0))


def flow_share(ratio: float) -> float:
    """Flow of a nozzle as a share of its choked flow."""
    if ratio >= CRITICAL:
        return 1.0

    def psi(r: float) -> float:
        return math.sqrt(max(r ** (-2.0 / GAMMA) - r ** (-(GAMMA + 1.0) / GAMMA), 0.0))

    return psi(ratio) / psi(CRITICAL)


def main() -> None:
    """Print the table."""
    print("corrected_speed,expansion_ratio,corrected_flow,efficiency")
    print("rpm,-,kg/s,-")
    for rpm in (30000, 45000, 60000, 75000):
        blade = rpm * math.pi / 30.0 * WHEEL / 2.0
        head = (1.0 + 0.5 * blade**2 / (CP * T_REF)) ** (GAMMA / (GAMMA - 1.0))
        for ratio in (1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.3, 2.6, 3.0, 3.5):
            spouting = math.sqrt(2.0 * CP * T_REF * (1.0 - ratio ** (-(GAMMA - 1.0) / GAMMA)))
            efficiency = PEAK * (1.0 - ((blade / spouting - BEST) / BEST) ** 2)
            # Half the centrifugal head works against the stator, which takes three quarters of the expansion
            # (in its logarithm): shares made up so that the stage chokes later than a single nozzle would.
            effective = ratio / math.sqrt(head)
            if effective <= 1.02 or efficiency <= 0.05:
                continue
            flow = CHOKED * P_REF / math.sqrt(T_REF) * flow_share(effective**0.75)
            print(f"{rpm},{ratio:g},{flow:.5f},{efficiency:.4f}")


if __name__ == "__main__":
    main()
