"""Many jobs and photos at once, on this machine or on several."""

from photomeasure.batch.run import Summary, run_batch

__all__ = ["Summary", "run_batch"]
