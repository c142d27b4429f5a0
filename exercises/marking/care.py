"""Care: cautions kept, and nothing sound repaired."""

from circuits.cautions import CAUTIONS
from exercises.attempt import Attempt
from exercises.marking.columns import Column

SLIPS = {
    "ohms_live": 0.25,
    "amps_across_supply": 0.25,
    "held_at_stop": 0.25,
    "jumper_blew": 0.25,
    "hot_conductor": 0.0,
    "isolate_first": 0.05,
}
WRONG_REPAIR_SLIP = 0.10
READ_ON_SLIP = 0.05


def care(attempt: Attempt) -> Column:
    """Return the mark for what was kept from harm."""
    rule = (
        "Starts at 1. Ohms on a live circuit, amps across a supply, a motor held at its stop "
        "or a jumper across a short cost 0.25 each time; ohms with the battery connected "
        "0.05; a repair of something sound 0.1; reading on with the meter's low-battery sign "
        "showing 0.05, once."
    )
    told, lost = [], 0.0
    for name in dict.fromkeys(attempt.slips):
        times, cost = attempt.slips.count(name), SLIPS.get(name, 0.0)
        if cost:
            lost += times * cost
            told.append(f"{times} times: {CAUTIONS[name]}" if times > 1 else CAUTIONS[name])
    if attempt.slips.count("meter_battery_low") > 1:
        lost += READ_ON_SLIP
        told.append("The meter showed its low-battery sign, and you read on with it.")
    wrong = [repair for repair in attempt.repairs if not repair.cured]
    if wrong:
        lost += WRONG_REPAIR_SLIP * len(wrong)
        told.append(f"{len(wrong)} repair{'s' * (len(wrong) > 1)} of something that was sound.")
    return Column("care", max(0.0, 1 - lost), rule, tuple(told) or ("Every caution was kept.",))
