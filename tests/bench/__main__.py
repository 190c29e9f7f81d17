"""Run the benchmarks named on the command line, or all of them."""

import importlib
import sys

NAMES = ("engine", "patient", "replay", "debrief", "act", "start", "slips")

for name in sys.argv[1:] or NAMES:
    importlib.import_module(f"tests.bench.bench_{name}").main()
