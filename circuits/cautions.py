"""Cautions, worded once: what a tester is told before or with the act that needs it."""

CAUTIONS: dict[str, str] = {
    "isolate_first": (
        "Take the battery's negative lead off before you measure ohms, and put it on last."
    ),
    "ohms_live": (
        "There is voltage between the leads: the ohms shown are nonsense, and a meter can be "
        "damaged. Isolate the battery first."
    ),
    "pulse_only": (
        "Drive a motor in short pulses. Keep hands, feet and tools clear of what it moves."
    ),
    "held_at_stop": (
        "The motor is held at its stop with current on: its winding heats. Switch off now; "
        "pulse a motor, never hold it at its stop."
    ),
    "fused_jumper": "Use fused jumper leads only, and connect the feed end last.",
    "jumper_blew": "The fuse in the jumper lead has blown: its two ends were across a short.",
    "amps_across_supply": (
        "The meter's own fuse has blown: amps are measured in line with a load, never across "
        "a supply."
    ),
    "meter_fuse_gone": ("The meter's own fuse is blown: fit another before you measure amps."),
    "meter_battery_low": (
        "The meter shows its low-battery sign: it reads too high, and nothing it shows counts. "
        "Fit a new battery, prove the meter on a vehicle battery known to be good, read again."
    ),
    "fuse_blew": "A fuse has blown. Find out why before you fit another.",
    "under_vehicle": (
        "Support the vehicle before you go under it, wear eye protection, and keep clear of "
        "pinch points at the steps."
    ),
    "hot_conductor": (
        "This conductor carries far more current than it is made for and gets hot enough to "
        "burn. Switch off."
    ),
    "no_restraint": (
        "Never probe restraint (airbag) circuits, and keep away from orange high-voltage cables."
    ),
    "service_information": (
        "The vehicle's own service information and licensed practice come first."
    ),
}


def sentences(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the sentences of cautions, each once, in the order named."""
    return tuple(CAUTIONS[name] for name in dict.fromkeys(names))
