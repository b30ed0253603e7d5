"""Proposals: the roofline read from the photo alone, for a person to accept."""

from photomeasure.proposals.model import Proposal, Proposals
from photomeasure.proposals.propose import of_a_house, propose, propose_from
from photomeasure.proposals.reading import Reading, read_edges

__all__ = [
    "Proposal",
    "Proposals",
    "Reading",
    "of_a_house",
    "propose",
    "propose_from",
    "read_edges",
]
