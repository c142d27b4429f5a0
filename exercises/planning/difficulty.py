"""How hard an exercise is, before anyone has tried it.

A good path's minutes say most; then how many faults nothing allowed parts, and whether the
vehicle, worked in every position, does anything that a sound one would not do.
"""

from dataclasses import dataclass
from typing import Literal

from circuits.behaviour import observe
from circuits.model import Setting, Vehicle
from exercises.exercise import Exercise
from exercises.planning.allowed import AllowedTest, allowed_settings, permitted

Band = Literal["easy", "middling", "hard"]
BANDS: tuple[tuple[float, Band], ...] = ((5.0, "easy"), (11.0, "middling"))
"""Most points of each band but the last: a third of the library lies in each."""

PER_RIVAL = 2.0
NOTHING_WRONG = 5.0
"""Points for a fault that shows in nothing that is seen (from memory)."""


@dataclass(frozen=True, slots=True)
class Difficulty:
    """What makes an exercise hard, its points in minutes, and the band they lie in."""

    minutes: float
    group: int
    visible: bool

    @property
    def points(self) -> float:
        """Minutes of the path, with what else makes it hard put as minutes."""
        hidden = 0.0 if self.visible else NOTHING_WRONG
        return self.minutes + PER_RIVAL * (self.group - 1) + hidden

    @property
    def band(self) -> Band:
        """Easy, middling or hard."""
        return band_of(self.points)


def band_of(points: float) -> Band:
    """Return the band in which points lie."""
    return next((name for most, name in BANDS if points <= most), "hard")


def is_visible(exercise: Exercise) -> bool:
    """Say whether a sound vehicle would be seen to do otherwise when it is worked.

    Whatever is unplugged, pulled or isolated to see it is no complaint.
    """
    return any(
        _seen(exercise.vehicle(), setting) != _seen(exercise.healthy(), setting)
        for setting in allowed_settings(exercise.circuit)
        if permitted(exercise, AllowedTest(setting, None)) and _is_whole(setting)
    )


def _is_whole(setting: Setting) -> bool:
    return not (setting.unmated or setting.pulled or setting.isolated)


def _seen(vehicle: Vehicle, setting: Setting) -> tuple[tuple[str, str], ...]:
    return tuple((seen.part, seen.code) for seen in observe(vehicle.with_setting(setting)))
