"""Wires and mated cavities: what joins the parts, and what happens to it."""

from circuits.laws import Ohmic, wire_ohm
from circuits.spec import BODY, CONTACT_OHM, Circumstance, Element

LEAST_FAULT_OHM = 0.005


def wire_elements(
    name: str,
    ends: tuple[str, str],
    *,
    area_mm2: float,
    length_m: float,
    feed: str,
    at: Circumstance,
) -> tuple[Element, ...]:
    """Return the elements of a wire; a wire rubbed through is two halves and the fault.

    ``feed`` is the terminal that a wire ``shorted_to_feed`` touches.
    """
    if at.has("open"):
        return ()
    ohm = wire_ohm(area_mm2=area_mm2, length_m=length_m, celsius=at.celsius)
    ohm += at.added_ohm("high_resistance", "poor_joint")
    a, b = ends
    shorts = _shorts(name, feed, at)
    if not shorts and not at.has("touching"):
        return (Element(name, a, b, Ohmic(ohm)),)
    middle = middle_of(name)
    return (
        Element(name, a, middle, Ohmic(ohm / 2)),
        Element(f"{name}.rest", middle, b, Ohmic(ohm / 2)),
        *shorts,
    )


def middle_of(name: str) -> str:
    """Return the node where a wire is rubbed through."""
    return f"{name}.rub"


def _shorts(name: str, feed: str, at: Circumstance) -> tuple[Element, ...]:
    found = []
    for kind, other in (("chafed", BODY), ("shorted_to_feed", feed)):
        ohm = at.severity(kind)
        if ohm is not None:
            law = Ohmic(max(ohm, LEAST_FAULT_OHM))
            found.append(Element(f"{name}.{kind}", middle_of(name), other, law))
    return tuple(found)


def cavity_ohm(at: Circumstance) -> float | None:
    """Return the ohms of a mated cavity's contact, None where it does not touch."""
    if at.has("backed_out") or (at.has("spread") and at.moved):
        return None
    return CONTACT_OHM + at.added_ohm("corroded")
