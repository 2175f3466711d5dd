"""Rails whose joints are free: where overlaps may lie, and boards and joints chosen together.

Rails and strips that share pieces are *clusters*; a master proposes them, positions are tried for
each, and what proves impossible is forbidden (:class:`JointSearch`).  It is what does the work
where purchases can't be tried one by one (:mod:`nestcut.boards.proof`).
"""

from nestcut.boards.join.joined import JoinedAnswer, JointSearch
from nestcut.boards.join.standalone import Possible, find_possible

__all__ = ["JoinedAnswer", "JointSearch", "Possible", "find_possible"]
