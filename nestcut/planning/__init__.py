"""From a job to a verified plan: the composition root.

Here the rooms are put together, and nothing else: parts become pieces (joints), pieces are laid on
sheets and boards, totals are drawn up, the verifier has the last word.  No files, no terminal.
"""
