"""Benchmarks: ratios within one run, never timed tests."""
