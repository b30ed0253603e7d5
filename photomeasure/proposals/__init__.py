"""Proposals: the roofline read from the photo alone, for a person to accept."""

from photomeasure.proposals.model import Proposal, Proposals
from photomeasure.proposals.propose import propose, propose_from
from photomeasure.proposals.reading import Reading, read_edges

__all__ = ["Proposal", "Proposals", "Reading", "propose", "propose_from", "read_edges"]
