"""Medians of repeated runs, and one way to print a ratio."""

import statistics
import time
from collections.abc import Callable


def median_seconds(run: Callable[[], object], *, times: int = 7) -> float:
    """Median wall time of `times` runs after one that does not count."""
    run()
    took = []
    for _ in range(times):
        began = time.perf_counter()
        run()
        took.append(time.perf_counter() - began)
    return statistics.median(took)


def show(title: str, seconds: float) -> None:
    print(f"  {title:<58} {seconds * 1000:>10.3f} ms")


def show_ratio(title: str, ratio: float, aim: str) -> None:
    print(f"  {title:<58} {ratio:>10.1f} x   aim: {aim}")
