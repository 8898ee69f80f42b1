"""How much processor time 10,000 verdicts take: run with ``python tests/benchmarks/bench_rules.py``."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from time import process_time

from assistant.rules.basis import Judgement, Temperature
from assistant.rules.cooling import judge_cooling
from assistant.rules.cooling_curve import CoolingReading
from assistant.rules.cooling_forecast import forecast_cooling
from assistant.rules.holding import judge_cold_holding
from assistant.rules.product import Product
from assistant.rules.profile import load_profile
from assistant.rules.sanitizer import judge_chlorine, judge_quat

VERDICTS = 10_000
FDA = load_profile()
QUAT = Product("quat", "quat", Decimal(200), Decimal(400))
WALK_IN, SINK = Temperature(Decimal("40.5")), Temperature(Decimal(75))
COOLING = [
    CoolingReading(Decimal(hours), Temperature(Decimal(degrees)))
    for hours, degrees in ((0, 135), (1, 90), (2, 68), (4, 50), (6, 41))
]


def seconds(judge: Callable[[], Judgement], times: int = VERDICTS) -> float:
    """Return the processor time that ``times`` calls take."""
    began = process_time()
    for _ in range(times):
        judge()
    return process_time() - began


def main() -> None:
    """Print one line for each kind of verdict, and one for a mix of all."""
    kinds: dict[str, Callable[[], Judgement]] = {
        "cold holding": lambda: judge_cold_holding(WALK_IN, FDA),
        "quat": lambda: judge_quat(Decimal(300), SINK, FDA, QUAT),
        "chlorine": lambda: judge_chlorine(Decimal(100), SINK, Decimal(8), FDA),
        "cooling, five readings": lambda: judge_cooling(COOLING, FDA),
    }
    total = 0.0
    for name, judge in kinds.items():
        took = seconds(judge)
        total += took / len(kinds)
        print(f"{name}: {took:.3f} s for {VERDICTS:,} verdicts")
    print(f"a quarter of each: {total:.3f} s for {VERDICTS:,} verdicts")
    began = process_time()
    for _ in range(100):
        forecast_cooling(COOLING[:3], FDA, Temperature(Decimal(38)))
    print(f"cooling forecast: {(process_time() - began) * 10:.1f} ms each")


if __name__ == "__main__":
    main()
