"""Jobs, photos, papers and price books that are never lost.

Every saving is a revision; photos lie beside the database under the hash of their
content. The modules hold functions over one :class:`Store`:
:mod:`~photomeasure.store.jobs`, :mod:`~photomeasure.store.photos`,
:mod:`~photomeasure.store.papers`,
:mod:`~photomeasure.store.price_books`, :mod:`~photomeasure.store.check` and
:mod:`~photomeasure.store.package`.
"""

from photomeasure.store.home import Place, find_place
from photomeasure.store.store import Store, open_store

__all__ = ["Place", "Store", "find_place", "open_store"]
