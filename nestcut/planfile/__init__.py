"""plan.json: a plan written down and read back.

The file says everything a checker or the papers need: placements with their outlines in the
sheet's frame, pieces with their true curves, joints, bounds, buying list.  Reading gives back the
very same plan, or findings.  Nothing is solved or proven here.
"""
