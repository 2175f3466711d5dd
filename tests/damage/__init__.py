"""Damaged plan files: one field at a time, and several that go together."""
