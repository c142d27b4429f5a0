"""A case at the vehicle: the meter first, then one test at a time, and what the answers leave."""

import streamlit as st

from circuits.cautions import CAUTIONS
from circuits.drawing import draw
from circuits.faces import draw_face
from exercises.cases.case import (
    Answer,
    Case,
    answer_words,
    day_told,
    dropped,
    read_back,
    seen_back,
    skipped,
)
from exercises.cases.day import day_typed
from exercises.cases.report import complaint_words, day_words, report_pdf
from exercises.cases.typed import TypedError
from exercises.cases.verdict import Verdict, fault_words, verdict
from exercises.cases.weighing import Weighed, next_test, resting_on, weighed
from exercises.planning.allowed import AllowedTest
from exercises.planning.choice import Choice
from exercises.planning.table import Table
from exercises.plans.expected import DIALS, band_of, turned
from exercises.plans.order import METER
from exercises.plans.steps import cautions_of, expected_words, points_words
from exercises.plans.symptoms import looks, set_words, sound_looks
from exercises.screens import vehicle_desk, vehicle_plan

MOST_SHOWN = 8


def show() -> None:
    """Show the case that is open."""
    case = vehicle_desk.case_of()
    with st.container(key="v_head", horizontal=True, vertical_alignment="center"):
        st.title(case.circuit.title, anchor=False, width="stretch")
        st.button("Another circuit", key="v_leave", on_click=vehicle_desk.leave)
    with st.container(key="slip"):
        st.text(complaint_words(case))
        if case.day is not None:
            st.text(day_words(case))
    if case.day is None:
        _ask_day()
        return
    _work(case)


# --- the meter and the battery


def _ask_day() -> None:
    st.subheader("First the meter and the battery", anchor=False)
    st.warning(CAUTIONS["service_information"])
    with st.form("v_day", border=True):
        leads = st.text_input("Ohms of the leads held together (0 if zeroed)", placeholder="0.2")
        battery = st.text_input(
            "Volts of the battery at rest, everything off", placeholder="12.5 V"
        )
        accuracy = st.text_input(
            "Meter's accuracy on DC volts in %, empty if you do not know", placeholder="0.5"
        )
        if st.form_submit_button("Go on", type="primary"):
            try:
                day = day_typed(leads, battery, accuracy)
            except TypedError as error:
                st.error(str(error))
            else:
                vehicle_desk.keep(day_told(day))
                st.rerun()


# --- one test at a time


def _work(case: Case) -> None:
    table = vehicle_desk.table_of(case.circuit, case.body)
    with st.spinner("Weighing the answers…"):
        found = weighed(case)
    choice = _choice(case, table, found)
    if vehicle_desk.said():
        st.error(vehicle_desk.said())
        vehicle_desk.say("")
    with st.container(key="v_columns"):
        with st.container(key="v_test"):
            _next(case, table, found, choice)
        with st.container(key="v_left"):
            _left(case, found)
            _answers(case)
    _ending(case, found, choice)
    with st.expander("The plan on paper, for this battery"):
        complaint = tuple(symptom.name for symptom in case.complaint)
        vehicle = vehicle_desk.Chosen(case.circuit, case.body)
        vehicle_plan.plan_panel(vehicle, complaint, case.day.battery_volt)


def _choice(case: Case, table: Table | None, found: Weighed) -> Choice | None:
    if table is None or found.misfit is not None:
        return None
    instruments = (*METER, "clamp") if st.session_state.get("v_clamp") else METER
    choice = next_test(case, table, instruments)
    return None if choice is None or choice.doubtful else choice


def _next(case: Case, table: Table | None, found: Weighed, choice: Choice | None) -> None:
    if found.misfit is not None:
        st.error(found.misfit.words)
        if found.misfit.again is not None:
            _card(case, found.misfit.again, "Again")
        for no in found.misfit.odd:
            st.button(
                f"Take answer {no} back",
                key=f"v_odd_{no}",
                on_click=lambda no=no: vehicle_desk.keep(dropped(case, no)),
            )
    elif table is None:
        vehicle_desk.waiting(case.circuit)
    elif choice is not None:
        _card(case, choice.test, "Next")
    else:
        rests = resting_on(case)
        if rests:
            st.text("The verdict rests on one reading alone. Take it again to be sure of it.")
            _card(case, rests[0].test, "Again")
        else:
            st.success("No further test tells more. Read the verdict below.")


def _card(case: Case, chosen: AllowedTest, heading: str) -> None:
    vehicle = case.vehicle()
    test = turned(vehicle, chosen)
    with st.container(border=True, key="v_card"):
        st.subheader(f"{heading}: test {len(case.answers) + 1}", anchor=False)
        for name in cautions_of(case.circuit, test.setting, test):
            st.warning(CAUTIONS[name])
        st.text(f"Vehicle set to: {set_words(case.circuit, test.setting)}")
        if test.what is None:
            _watch(case, test)
        else:
            _measure(case, test)
        st.button(
            "I cannot take this one",
            key=f"v_skip_{case.last}",
            on_click=lambda: vehicle_desk.keep(skipped(chosen)),
        )
    _pictures(case, test)


def _measure(case: Case, test: AllowedTest) -> None:
    what, vehicle = test.what, case.vehicle()
    words = points_words(case.circuit, test)
    with st.container(key="v_leads"):
        if what.wire:
            st.text(f"Clamp {words[0]}")
        else:
            st.text(f"Red + on {what.red}\n{words[0]}")
            st.text(f"Black − on {what.black}\n{words[1]}")
    band = band_of(vehicle, test)
    st.text(f"Dial: {DIALS[test.instrument]}, range {band.range_text} or automatic")
    st.text(f"A sound circuit shows {band.text}")
    key = f"v_typed_{case.last}"
    with st.form(f"v_form_{case.last}", border=False):
        st.text_input("Found, with its unit", key=key, placeholder="12.41 V, 450 mV, OL")
        st.form_submit_button("Keep it", type="primary", on_click=lambda: _keep(case, test, key))
    doubt = st.session_state.get("v_doubt")
    if doubt == (case.last, st.session_state.get(key, "")):
        st.button(
            "Keep it as typed",
            key="v_confirm",
            on_click=lambda: _keep(case, test, key, confirmed=True),
        )


def _keep(case: Case, test: AllowedTest, key: str, *, confirmed: bool = False) -> None:
    text = str(st.session_state.get(key, ""))
    try:
        draft = read_back(case, test, text, confirmed=confirmed)
    except TypedError as error:
        vehicle_desk.say(str(error))
        st.session_state["v_doubt"] = (case.last, text) if "Did you mean" in str(error) else None
        return
    vehicle_desk.keep(draft)


def _watch(case: Case, test: AllowedTest) -> None:
    sound: dict[str, list[tuple[str, str]]] = {}
    for (part, code), words in sound_looks(case.circuit, test.setting).items():
        sound.setdefault(part, []).append((code, words))
    others = looks(case.circuit, test.setting)
    st.text("Work it, look and listen. What does each do? Leave open what you cannot see.")
    with st.form(f"v_form_{case.last}", border=False):
        for part in [p.name for p in case.circuit.parts if p.name in {*sound, *others}]:
            options = dict(sound.get(part, [])) | dict(others.get(part, {}))
            st.selectbox(
                case.circuit.part_by_name[part].title,
                list(options),
                format_func=options.__getitem__,
                key=f"v_seen_{case.last}_{part}",
                index=None,
                placeholder="Choose",
            )
        st.form_submit_button("Keep it", type="primary", on_click=lambda: _keep_seen(case, test))


def _keep_seen(case: Case, test: AllowedTest) -> None:
    head = f"v_seen_{case.last}_"
    seen = [
        (str(key).removeprefix(head), str(code))
        for key, code in st.session_state.items()
        if str(key).startswith(head) and code is not None
    ]
    if not seen:
        vehicle_desk.say("found nothing chosen; accepted: what at least one of them does.")
        return
    vehicle_desk.keep(seen_back(case, test, seen))


def _pictures(case: Case, test: AllowedTest) -> None:
    with st.expander("Diagram and connector faces"):
        what = test.what
        st.image(draw(case.circuit, test.setting, theme="print", direction="down"))
        points = (what.red, what.black) if what else ()
        for name in dict.fromkeys(point.partition(".")[0] for point in points):
            if name in case.circuit.connector_by_name:
                st.image(draw_face(case.circuit, name, test.setting, theme="print"), width=320)


# --- what is left


def _left(case: Case, found: Weighed) -> None:
    if found.misfit is not None:
        return
    count = len(found.left)
    st.subheader("1 fault still fits" if count == 1 else f"{count} faults still fit", anchor=False)
    rows = [
        {"Share": f"{100 * share:.0f} %", "Fault": fault_words(case.circuit, fault)}
        for fault, share in found.left[:MOST_SHOWN]
    ]
    st.table(rows, border="horizontal", hide_index=True)
    if count > MOST_SHOWN:
        st.text(f"and {count - MOST_SHOWN} more")


def _answers(case: Case) -> None:
    if not case.answers:
        return
    st.subheader("Answers so far", anchor=False)
    for answer in reversed(case.answers):
        with st.container(horizontal=True, vertical_alignment="center", key=f"v_row_{answer.no}"):
            st.text(_answer_line(case, answer), width="stretch")
            if not answer.dropped:
                st.button(
                    "Take back",
                    key=f"v_drop_{answer.no}",
                    on_click=lambda no=answer.no: vehicle_desk.keep(dropped(case, no)),
                )


def _answer_line(case: Case, answer: Answer) -> str:
    told = f"{answer.no}. {answer_words(case, answer)}"
    if answer.dropped:
        return f"{told} (taken back)"
    return f"{told}; a sound circuit: {expected_words(case.vehicle(), answer.test)}"


def _ending(case: Case, found: Weighed, choice: Choice | None) -> None:
    if not case.answers:
        return
    if not st.toggle("Show the verdict so far", key="v_verdict"):
        return
    with st.spinner("Putting it into words…"):
        told = verdict(case, found, choice)
    with st.container(border=True, key="v_verdict_box"):
        st.subheader(told.heading, anchor=False)
        for title, lines in _parts(told):
            if lines:
                st.text(title)
                st.text("\n".join(lines))
    _downloads(case, told)


def _parts(told: Verdict) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return (
        ("Where", told.stretch),
        ("Repair", told.repair),
        ("Proof that it is cured", told.confirm),
        ("What the wear does", told.wear),
        ("Test further, or repair now", told.choice),
        ("What remains unproved", told.unproved),
        ("How each answer told", told.reasoning),
    )


def _downloads(case: Case, told: Verdict) -> None:
    book = st.session_state["case_book"]
    last = book.store.events(book.case_id, after=case.last - 1)[0]
    with st.container(horizontal=True, key="v_files"):
        st.download_button(
            "Report (PDF)",
            report_pdf(case, told, paper="a4", digest=last.digest, made=vehicle_desk.now()),
            file_name=f"report-{case.circuit.name}.pdf",
            mime="application/pdf",
            on_click="ignore",
        )
        st.download_button(
            "Case file",
            book.exported(),
            file_name=f"case-{case.circuit.name}.jsonl",
            mime="application/jsonl",
            on_click="ignore",
            help="Opens again on this page",
        )
