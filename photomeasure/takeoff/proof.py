"""What is not proven of a cutting plan, in words."""

from collections.abc import Iterator

from photomeasure.takeoff.cutting import MaterialPlan


def unproven(plan: MaterialPlan) -> Iterator[str]:
    """Yield what might yet be better about a plan, and whether time ended the search.

    Parameters
    ----------
    plan : MaterialPlan

    Yields
    ------
    str
    """
    if not plan.joints.proven:
        yield f"{plan.joints.value} joints, at least {plan.joints.bound}"
    if not plan.cost.proven:
        yield f"at most {100 * plan.cost.gap:.1f} % of the boards' cost could be saved"
    if not plan.offcut.proven:
        rest = f"its longest offcut is {plan.offcut.value} mm"
        yield f"{rest}, none beyond {plan.offcut.bound} mm can be had"
    if plan.cut_short:
        yield "the time was over, so that a faster computer may plan otherwise"
