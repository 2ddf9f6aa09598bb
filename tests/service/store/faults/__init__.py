"""Faults with real processes and real files."""
