"""A second checker: it reads a job file with its drawings and the DXF and CSV files of a result.

Nothing here imports ``nestcut``; plan.json is never opened.  What it knows of jobs comes from
``parts/REFERENCE.md`` and ``parts/NUMBERS.md``, what it knows of results from README's tables.  It
shares with the program nothing but the libraries (shapely, ezdxf, numpy) and is wrong on its own:
where the two disagree, one of them has a fault.

Rooms: ``lengths`` (texts to mm), ``curves`` (drawn things to rows of points), ``asked`` (the job),
``written`` (the result), ``poses`` (which motion takes one outline to another), ``flat``,
``joined``, ``rails``, ``money`` (what must hold), ``judge`` (all of it).  ``chance`` writes small
jobs by lot, ``run`` plans them and has them judged; these two do use the program.
"""
