"""nestcut: a home-built plywood boat's parts, planned onto the sheets and boards the yard sells."""

__version__ = "0.1.0"
