"""What is planned and what a plan is: frozen records only.

Rooms hand these to each other.  No solving, no files, no formatting here.  Lengths are in mm
(suffix ``_mm``), areas in mm2, angles in degrees counter-clockwise, money in minor units (cents).
"""
