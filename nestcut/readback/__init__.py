"""Files read back before anybody sees them: do drawings and lists say what the plan says?

Only what was written counts here: drawings are read with ezdxf, lists as CSV, and both are held
against the verified plan with the verifier's own lines.
"""

from nestcut.readback.check import check_files

__all__ = ["check_files"]
