"""Benchmarks: ratios against a bare stack or a general library, in the same run.

`python -m tests.bench` runs all; `python -m tests.bench engine replay act start` some.
They print; they assert no time. What they do assert is that both sides of a comparison
did the same work.
"""
