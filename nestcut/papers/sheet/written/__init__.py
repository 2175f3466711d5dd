"""What is written and marked on a sheet's drawing: names, numbers, arrows, bevels, joints.

Each takes the room that those before it have left (:class:`ground.Ground`).
"""
