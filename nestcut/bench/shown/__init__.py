"""What the page is shown: plain values in the job's units, made from jobs, plans and drawings.

Nothing is worked out here that :mod:`nestcut.door` doesn't say.
"""

from nestcut.bench.shown.drawn import drawings_view
from nestcut.bench.shown.forms import forms_view
from nestcut.bench.shown.job import finding_view, job_view, misfits, pictures, refused
from nestcut.bench.shown.plan import figures, glance, plan_view, progress_view

__all__ = [
    "drawings_view",
    "figures",
    "finding_view",
    "forms_view",
    "glance",
    "job_view",
    "misfits",
    "pictures",
    "plan_view",
    "progress_view",
    "refused",
]
