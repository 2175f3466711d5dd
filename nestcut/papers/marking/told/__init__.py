"""What charts say in words: points, arcs, joint lines, which way a piece lies.

Belongs here: sentences and tables of one chart.  Not here: what is measured (``marking``), and how
a page is filled (``drawn``).
"""
