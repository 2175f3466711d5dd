"""DXF drawings: other people's are read here, ours are written.

Here belong opening files, tidying and chaining lines, holes and labels, finding an outline by
name, sheet drawings, a first job file from drawings, the picture of a drawing with its faults.
Prefix of findings: DXF.  Job knowledge doesn't belong here; neither do papers.

Reading goes one way: ``load`` (file to document), ``explode`` (document to strokes and texts),
``edges`` (doubles out, ends joined), ``chain`` and ``crossings`` (loops), ``nesting`` (which lies
in which), ``marks``, ``labels``, ``assemble`` (to outlines), ``offers`` (what may be meant too);
``read`` calls them in this order, ``tell`` words the findings.
"""
