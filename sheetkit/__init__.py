"""sheetkit: plan a welded repair patch before the first cut.

    import sheetkit as sk

    job = sk.load("data/trunk_floor.json")
    result = sk.estimate(job)
    print(result.explain("wire_g"))
    order = sk.plan(result)

Importing sheetkit loads neither Jupyter nor a plotting module nor numba nor pandas.
"""

from .base.errors import Fault, JobRefused, OutOfRange, SheetkitError
from .job.job import Job, load, save
from .repair.estimate import Estimate, estimate
from .repair.plan import plan
from .sequence.plan import SequencePlan
from .workshop.many import estimate_many

__all__ = [
    "Estimate",
    "Fault",
    "Job",
    "JobRefused",
    "OutOfRange",
    "SequencePlan",
    "SheetkitError",
    "estimate",
    "estimate_many",
    "load",
    "plan",
    "save",
]
__version__ = "0.1.0"
