"""Small figures of the hulls that are made to learn how fair lines run (`shapes/table`)."""

ROUGH_LINE = 0.0006
"""What a fair line is off its batten, as a share of its length, before it is weighed. [-]"""

OWN_LEAST = 0.05
"""Least noise of a line of its own, against the common one. [-]"""

CURVED_LEAST = 0.01
"""Least curvature of a line that curves at all, as a share of its length. [-]"""

HEIGHT_RATIO_LEAST = 0.05
"""Least rise of a sheer at one end, against the other. [-]"""

LINE_SIZE_LEAST = 0.004
"""Least rise of a line, as a share of its length. [-]"""

TOP_MEAN = 0.02
"""Usual difference, as a logarithm, of breadths along a made hull. [-]"""

TOP_SPREAD = 0.06
"""And its spread. [-]"""

WIDEST_SPREAD = 0.03
"""Spread of where a made hull is widest, as a share of its length. [-]"""

BLUNT_MOST = 0.02
"""Most breadth that is lacking at a made stem, as a share. [-]"""

LEAN_SPREAD = 0.04
"""Spread of how sides of made hulls lean more amidships than at the ends. [-]"""

LEAN_SLOPE_SPREAD = 0.02
"""Spread of how they lean more at one end. [-]"""
