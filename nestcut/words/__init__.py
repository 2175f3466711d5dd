"""Sentences: the only room that writes them.

A :class:`~nestcut.facts.Fact` or a :class:`~nestcut.errors.Finding` comes with a code and values;
here each code has its sentence, and a :class:`Speech` says lengths, areas and money in the reader's
units.  One module for each prefix of codes; ``SENTENCES`` gathers them.  Papers, terminal and files
ask this room; pure rooms never do.

To add a code: put its sentence into the module of its prefix, raise it with its values, and name
the code in a test.
"""

from nestcut.words.bounds import bound_line
from nestcut.words.file_names import free_names, next_name, safe_name
from nestcut.words.progress import name_line, progress_line
from nestcut.words.register import explain_code, register_page
from nestcut.words.sentences import SENTENCES, Told, finding_line, finding_record, tell, tell_fact
from nestcut.words.speech import Speech, speech_of

__all__ = [
    "SENTENCES",
    "Speech",
    "Told",
    "bound_line",
    "explain_code",
    "finding_line",
    "finding_record",
    "free_names",
    "name_line",
    "next_name",
    "progress_line",
    "register_page",
    "safe_name",
    "speech_of",
    "tell",
    "tell_fact",
]
