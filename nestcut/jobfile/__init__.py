"""The job file: TOML tables in, typed records and findings out.

Here is everything that knows the names of keys.  Drawings aren't opened here (intake does), and
nothing is solved.  Faults are collected, each with its key path, the value met and a remedy.
"""
