"""Benchmarks: printed, never asserted; the ratios count. Run ``python -m tests.benchmarks``."""
