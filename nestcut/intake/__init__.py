"""Where input comes in: job files with their drawings to a job, plan files to a plan.

Files are opened here and nowhere below.  What was understood and every finding come back together.
"""
