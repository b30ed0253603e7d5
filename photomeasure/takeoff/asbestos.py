"""Boards that may hold asbestos stop the take-off until a survey's result is stated."""

from typing import Final

from photomeasure.job.takeoff import LineFacts, SoffitLook, SurveyResult, TakeoffSpec
from photomeasure.takeoff.model import Stop
from photomeasure.takeoff.rules import Rulebook

YEAR: Final = "asbestos.suspect_before_year"
LAW: Final = "asbestos.law"

HARMLESS: Final = (SoffitLook.TIMBER, SoffitLook.PLASTIC, SoffitLook.METAL)
"""Looks that a person can tell from sheet; what lies behind them may still hold it."""


def suspect(
    label: str, facts: LineFacts, spec: TakeoffSpec, rules: Rulebook
) -> Stop | None:
    """Return why a line may not be touched yet, or None.

    Parameters
    ----------
    label : str
        ``elevation: line``.
    facts : LineFacts
        What the job states of the line.
    spec : TakeoffSpec
    rules : Rulebook

    Returns
    -------
    Stop or None
        A photograph cannot tell asbestos cement from insulating board, nor either
        from sheet without asbestos.
    """
    law = rules.text(LAW)
    if spec.asbestos_survey is SurveyResult.FOUND:
        return Stop(
            lines=(label,),
            reason=f"{label}: a survey found asbestos; have it removed as the law asks "
            f'({law}), then state takeoff.asbestos_survey "removed".',
        )
    look = facts.soffit_look or spec.soffit_look
    if spec.asbestos_survey is not None or look in HARMLESS or _is_late(spec, rules):
        return None
    built = f"built {spec.year_built}" if spec.year_built else "of unknown age"
    seen = "cement sheet" if look is SoffitLook.CEMENT_SHEET else "unknown material"
    return Stop(
        lines=(label,),
        reason=f"{label}: boards of {seen} on a house {built} may hold asbestos; do not "
        f"cut, drill or break it, have it sampled ({law}) and state "
        "takeoff.asbestos_survey.",
    )


def cautions(spec: TakeoffSpec, rules: Rulebook) -> tuple[str, ...]:
    """Return what to keep in mind where the take-off goes on.

    Parameters
    ----------
    spec : TakeoffSpec
    rules : Rulebook

    Returns
    -------
    tuple of str
        Empty for a house built after the year of the rules.
    """
    if _is_late(spec, rules):
        return ()
    law = rules.text(LAW)
    if spec.asbestos_survey is not None:
        return (
            f'The asbestos survey is stated as "{spec.asbestos_survey}": keep its report '
            f"on site, and stop at anything it does not cover ({law}).",
        )
    return (
        "No asbestos survey is stated. Boards of timber, plastic or metal may hide older "
        f"asbestos sheet behind them: stop and have it sampled if any appears ({law}).",
    )


def _is_late(spec: TakeoffSpec, rules: Rulebook) -> bool:
    return spec.year_built is not None and spec.year_built >= rules.number(YEAR)
