"""Measurements, run by hand with `python -m tests.benchmarks`: ratios against a bare baseline of the same run, never seconds alone."""
