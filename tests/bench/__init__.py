"""Benchmarks that print ratios within one run; `python -m tests.bench`. Nothing here is a timed test."""
