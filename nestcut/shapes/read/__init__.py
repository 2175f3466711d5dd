"""Entries of a job as written, read into the numbers that the other rooms of shapes work on."""
