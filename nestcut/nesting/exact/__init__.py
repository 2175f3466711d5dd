"""Containers that are filled to the last bit: which items go together, and where.

``areas`` tells sets of items that fill a container by their areas; ``jigsaw`` puts containers
together corner by corner, on the geometry of ``corners``. For all else there is the search.
"""
