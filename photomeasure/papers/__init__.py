"""Quotation, order, cut list, take-off and costing, as files for each person's use.

A paper is content first (``content.Paper``); PDF, XLSX, CSV and JSON are ways to write
it. Every paper says that it was measured from photographs, how sure its lengths are, that
each is checked before cutting, and the cautions.
"""
