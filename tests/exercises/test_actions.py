"""Acts: what they show and cost, which are refused and with which sentence, which are slips."""

import pytest

from circuits.model import CircuitError
from exercises import minutes
from exercises.actions import (
    ChangeSetting,
    CheckMeter,
    ChooseRepair,
    CloseJob,
    GiveUp,
    NameFault,
    PlaceLead,
    PutClamp,
    ReadAgain,
    ReplaceBattery,
    ReplaceFuse,
    SetHold,
    SwapJumpers,
    TurnDial,
    ZeroLeads,
    perform,
)
from exercises.asking import Expect, ListSuspects, TakeHint
from exercises.attempt import METER, AttemptError
from tests.exercises.learners import Learner, job

SHORT = "W12:chafed:0.02"
DEPLOY = {"rocker": "deploy"}


def _steps(*faults: str, **changed) -> Learner:
    return Learner(job(*faults, circuit="side_steps", **changed))


ACTS = [
    PlaceLead("red", "F1.out"),
    PutClamp("W1"),
    TurnDial("ohms"),
    ZeroLeads(),
    SetHold(True),
    ReadAgain(),
    SwapJumpers(),
    ReplaceFuse("F1"),
    ReplaceBattery(),
    CheckMeter("fuse"),
    NameFault("W1", "open"),
    ChooseRepair("W1", "renew_wire"),
    CloseJob(),
    GiveUp(),
    ListSuspects((("W1", "open"),)),
    Expect("12.6"),
    TakeHint(1, "a hint"),
]


@pytest.mark.parametrize("act", ACTS, ids=[type(act).__name__ for act in ACTS])
def test_no_act_is_taken_on_a_closed_job(act) -> None:
    attempt = Learner(job("W1:open")).do(GiveUp())
    with pytest.raises(AttemptError, match="This job is closed"):
        perform(attempt, act)


def test_a_setting_is_not_taken_on_a_closed_job() -> None:
    attempt = Learner(job("W1:open")).do(GiveUp())
    with pytest.raises(AttemptError, match="This job is closed"):
        perform(attempt, ChangeSetting(attempt.setting))


REFUSED = [
    pytest.param(PlaceLead("red", "C1.2@unit"), "C1 is mated and hides its faces", id="hidden"),
    pytest.param(PlaceLead("red", "C1.99"), "has none such", id="no such point"),
    pytest.param(PlaceLead("green", "F1.out"), "accepted: red, black", id="no such lead"),
    pytest.param(PlaceLead("red", "IL.1@motor"), "left sill, and this exercise", id="closed"),
    pytest.param(PutClamp("W99"), "has no wire 'W99'", id="no such wire"),
    pytest.param(TurnDial("clamp"), "this exercise does without it; accepted: volts", id="dial"),
    pytest.param(TurnDial("sniffer"), "accepted: volts", id="no such instrument"),
    pytest.param(ReplaceFuse("F9"), "accepted: F1, F2, F3, meter", id="no such fuse"),
    pytest.param(NameFault("W99", "open"), "not one of this circuit's", id="no such place"),
    pytest.param(NameFault("W4", "blown"), "accepted at W4: open", id="no such kind there"),
    pytest.param(ChooseRepair("W4", "renew_wire"), "Name the fault before", id="repair unnamed"),
    pytest.param(CloseJob(), "Name the fault before you close", id="close unnamed"),
]


@pytest.mark.parametrize(("act", "sentence"), REFUSED)
def test_what_cannot_be_done_is_refused_with_a_sentence(act, sentence) -> None:
    learner = _steps("W4:open", closed_places=["left_sill"], instruments=["volts", "ohms"])
    with pytest.raises((AttemptError, CircuitError), match=sentence):
        perform(learner.attempt, act)


@pytest.mark.parametrize(
    "parts",
    [
        pytest.param({"unmated": ["IL"]}, id="unplugging"),
        pytest.param({"jumpers": [("IL.1@motor", "BODY")]}, id="jumper"),
    ],
)
def test_a_closed_place_is_closed_to_all_work(parts) -> None:
    learner = _steps("W4:open", closed_places=["left_sill"])
    with pytest.raises(AttemptError, match="left sill, and this exercise does without"):
        learner.set(**parts)


def test_a_fuse_in_a_closed_place_stays_in() -> None:
    learner = _steps("W4:open", closed_places=["engine_bay"])
    with pytest.raises(AttemptError, match="engine bay, and this exercise does without"):
        learner.set(pulled=["F1"])
    with pytest.raises(AttemptError, match="engine bay, and this exercise does without"):
        learner.do(ReplaceFuse("F1"))


def test_a_repair_that_the_place_cannot_have_is_refused() -> None:
    learner = _steps("W4:open")
    learner.do(NameFault("W4", "open"))
    with pytest.raises(AttemptError, match="accepted here: renew_wire"):
        learner.do(ChooseRepair("W4", "charge_battery"))


def test_both_leads_are_not_put_on_one_point() -> None:
    learner = _steps("W4:open")
    learner.do(PlaceLead("black", "F1.out"))
    with pytest.raises(AttemptError, match=r"The black lead is on F1\.out already"):
        learner.do(PlaceLead("red", "F1.out"))


def test_unplugging_drops_the_leads_that_are_on_the_back_of_it() -> None:
    learner = _steps("W4:open")
    learner.probe("C1.2", "BODY")
    attempt = learner.set(unmated=["C1"])
    assert (attempt.red, attempt.black) == ("", "BODY")
    assert attempt.reading is None


def test_plugging_in_drops_the_leads_that_are_on_its_face() -> None:
    learner = _steps("W4:open")
    learner.set(unmated=["C1"])
    learner.probe("C1.2@harness", "F1.out")
    attempt = learner.set()
    assert (attempt.red, attempt.black) == ("", "F1.out")


def test_ohms_on_a_live_circuit_are_a_slip() -> None:
    attempt = Learner(job()).probe("F1.out", "BODY", "ohms")
    assert attempt.slips == ("ohms_live",)
    assert "nonsense" in attempt.reading.cautions[0]


def test_ohms_with_the_battery_off_are_none() -> None:
    learner = Learner(job())
    learner.set(isolated=True)
    assert learner.probe("F1.out", "BODY", "ohms").slips == ()


def test_amps_across_the_battery_cost_the_meters_fuse() -> None:
    attempt = Learner(job()).probe("BAT.pos", "BODY", "amps")
    assert attempt.meter_blown
    assert attempt.slips == ("amps_across_supply",)


def test_amps_read_nothing_until_the_meters_fuse_is_replaced() -> None:
    learner = Learner(job())
    learner.set(positions={"push": "pressed"}, pulled=["F1"])
    sound = learner.probe("F1.in", "F1.out", "amps").reading.display
    learner.probe("BAT.pos", "BODY", "amps")
    blown = learner.probe("F1.in", "F1.out", "amps").reading
    assert (blown.display, blown.caution_names) == ("0.000", ("meter_fuse_gone",))
    learner.do(ReplaceFuse(METER))
    assert learner.probe("F1.in", "F1.out", "amps").reading.display == sound
    assert float(sound) > 0.5


def test_volts_are_read_with_the_meters_fuse_gone() -> None:
    learner = Learner(job())
    sound = learner.probe("F1.out", "BODY").reading
    learner.probe("BAT.pos", "BODY", "amps")
    assert learner.probe("F1.out", "BODY").reading == sound


def test_a_motor_driven_by_jumpers_heats_at_its_stop_and_that_is_a_slip() -> None:
    learner = _steps()
    jumpers = [("BAT.pos", "C2.1@harness"), ("C2.2@harness", "BODY")]
    pulsed = learner.set(unmated=["C2"], jumpers=jumpers, moment="moving")
    assert "held_at_stop" not in pulsed.slips
    held = learner.set(unmated=["C2"], jumpers=jumpers, moment="at_rest")
    assert held.slips.count("held_at_stop") == 1
    warm = dict(learner.do(TurnDial("clamp"), PutClamp("W14")).celsius)["left_motor"]
    hot = dict(learner.do(ReadAgain()).celsius)["left_motor"]
    assert 20 < warm < hot


ON_MOTOR = ("C2.1@harness", "C2.2@harness")


@pytest.mark.parametrize(
    "leads",
    [
        pytest.param((("BAT.pos", ON_MOTOR[0]), ("BODY", ON_MOTOR[1])), id="from the supply"),
        pytest.param(((ON_MOTOR[0], "BAT.pos"), (ON_MOTOR[1], "BODY")), id="from the motor"),
        pytest.param((("BAT.pos", ON_MOTOR[0]), (ON_MOTOR[1], "BODY")), id="one each way"),
        pytest.param(((ON_MOTOR[0], "BAT.pos"), ("BODY", ON_MOTOR[1])), id="the other way"),
    ],
)
def test_swapping_two_jumper_leads_turns_the_motor_round_in_one_act(leads) -> None:
    learner = _steps()
    there = learner.set(unmated=["C2"], jumpers=leads, moment="moving")
    assert "Left step motor: moves out" in there.seen
    back = learner.do(SwapJumpers())
    assert "Left step motor: moves in" in back.seen
    assert "jumper_blew" not in back.slips
    # both come off and both go on again
    assert back.minutes == pytest.approx(there.minutes + 4 * minutes.JUMPER)
    ends = {frozenset((lead.start, lead.end)) for lead in back.setting.jumpers}
    assert ends == {frozenset(("BAT.pos", ON_MOTOR[1])), frozenset(("BODY", ON_MOTOR[0]))}
    again = learner.do(SwapJumpers())
    assert "Left step motor: moves out" in again.seen


@pytest.mark.parametrize("count", [0, 1, 3])
def test_polarity_is_swapped_with_two_leads_only(count: int) -> None:
    learner = _steps()
    learner.set(jumpers=[("F1.in", "F1.out"), ("F2.in", "F2.out"), ("F3.in", "F3.out")][:count])
    with pytest.raises(AttemptError, match=rf"two jumper leads on; found {count}\."):
        learner.do(SwapJumpers())


def test_a_jumper_across_a_short_blows_its_own_fuse_and_that_is_a_slip() -> None:
    attempt = _steps().set(jumpers=[("BAT.pos", "BODY")])
    assert "jumper_blew" in attempt.slips
    assert attempt.blown == frozenset()


def test_a_new_fuse_blows_again_while_the_short_is_there() -> None:
    learner = _steps(SHORT)
    assert learner.attempt.blown == {"F3"}  # whoever wrote the slip had worked the rocker
    assert learner.set(positions=DEPLOY).blown == {"F3"}
    attempt = learner.do(ReplaceFuse("F3"))
    assert attempt.blown == {"F3"}
    assert attempt.slips.count("fuse_blew") == 1


def test_a_blown_fuse_stays_blown_when_the_short_is_switched_off() -> None:
    learner = _steps(SHORT)
    learner.set(positions=DEPLOY)
    assert learner.set(positions={"rocker": "lamps"}).blown == {"F3"}
    assert learner.do(ReplaceFuse("F3")).blown == frozenset()


def test_a_new_fuse_holds_after_the_repair() -> None:
    learner = _steps(SHORT)
    learner.set(positions=DEPLOY)
    learner.do(NameFault("W12", "chafed"), ChooseRepair("W12", "renew_wire"))
    assert learner.attempt.blown == {"F3"}
    attempt = learner.do(ReplaceFuse("F3"))
    assert attempt.blown == frozenset()
    assert "Left step motor: moves out" in attempt.seen


def test_fitting_a_new_fuse_cures_a_blown_one() -> None:
    learner = Learner(job("F1:blown"))
    learner.set(positions={"push": "pressed"})
    attempt = learner.do(ReplaceFuse("F1"))
    assert attempt.cured
    assert any("rings" in words for words in attempt.seen)


def test_a_repair_is_seen_at_once() -> None:
    learner = Learner(job("W5:open"))
    learner.set(positions={"push": "pressed"})
    assert not any("rings" in words for words in learner.attempt.seen)
    attempt = learner.do(NameFault("W5", "open"), ChooseRepair("W5", "renew_wire"))
    assert any("rings" in words for words in attempt.seen)
    assert attempt.stage == "repaired"


def test_a_wrong_repair_costs_the_part_as_well_as_the_work() -> None:
    right, wrong = Learner(job("W5:open")), Learner(job("W5:open"))
    right.do(NameFault("W5", "open"), ChooseRepair("W5", "renew_wire"))
    wrong.do(NameFault("bell", "open"), ChooseRepair("bell", "replace_part"))
    assert right.attempt.minutes == pytest.approx(minutes.REPAIR)
    assert wrong.attempt.minutes == pytest.approx(minutes.REPAIR + minutes.WRONG_PART)


def test_reading_again_is_another_line_and_another_half_minute() -> None:
    learner = Learner(job())
    first = learner.probe("F1.out", "BODY")
    again = learner.do(ReadAgain())
    assert again.reading == first.reading
    assert len(again.entries) == len(first.entries) + 1
    assert again.minutes == pytest.approx(first.minutes + minutes.PROBE)


def test_zeroing_takes_the_leads_off_the_reading() -> None:
    learner = Learner(job())
    learner.set(isolated=True, pulled=["F1"])
    raw = learner.probe("F1.out", "relay.30", "ohms").reading.value
    zeroed = learner.do(ZeroLeads()).reading.value
    assert raw - zeroed == pytest.approx(0.2, abs=0.11)


def test_hold_keeps_the_lowest_and_the_highest_of_one_operation() -> None:
    learner = _steps()
    learner.set(positions=DEPLOY)
    learner.do(SetHold(True))
    low, high = learner.probe("C2.1", "C2.2").reading.swing
    assert low == pytest.approx(0, abs=0.1)
    assert high > 11


def test_a_reason_is_kept_without_its_blanks_and_not_without_end() -> None:
    attempt = Learner(job()).do(NameFault("W5", "open", "  drop " + "x" * 5000))
    assert attempt.named[-1].because.startswith("drop x")
    assert len(attempt.named[-1].because) == 2000
