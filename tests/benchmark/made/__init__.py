"""Sets that are made by cutting a rectangle up without waste: their optimum is known.

``cutting`` cuts, ``marine`` cuts as boats are cut, ``sets`` numbers and deals the sets out, the
command (``python -m tests.benchmark.made``) runs the engine on them with figures by family.
"""
