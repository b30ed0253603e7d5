"""One job as one file that travels: a zip with a list of everything in it.

::

    manifest.json                  what is inside, each file with its SHA-256
    job/house.job.json             the job file; 'photomeasure measure' reads it here
    job/front.jpg                  its photos
    papers/7/quotation/offer.pdf   by revision and kind; results too
    earlier/6.job.json             with the history: earlier job files
    earlier/photos/<sha256>        photos that only those use
"""

from photomeasure.store.package.bring_in import Duplicate, bring_in_package
from photomeasure.store.package.write import write_package

__all__ = ["Duplicate", "bring_in_package", "write_package"]
