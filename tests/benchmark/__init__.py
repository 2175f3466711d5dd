"""Measured runs on open research instances: ``python -m tests.benchmark KIND FOLDER``."""
