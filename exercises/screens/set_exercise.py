"""Set an exercise: pick or make one, see whether it can be solved and how hard it is, give it."""

import secrets
from dataclasses import replace
from random import Random

import streamlit as st

from circuits.faultkinds import KINDS
from circuits.faults import CONDITIONS, place_title
from circuits.files import circuit_names, library_body, library_circuit
from circuits.instruments import INSTRUMENTS
from circuits.model import Circuit, CircuitError, Fault
from exercises.authoring.composing import Composed, composed
from exercises.authoring.symptom_words import suggested_complaint
from exercises.authoring.wish import Wish, drawn_fault, kinds_in, places_for
from exercises.files import ExerciseFileError, LibraryExercise
from exercises.planning.table import Table
from exercises.screens import ahead, board, giving, work
from exercises.screens.guard import guarded
from exercises.screens.start import read_slips
from exercises.skills import SKILLS

_NOTHING = "none"
_ANYWHERE = ""
_REVIEWED = "set_reviewed"
LOOK_AGAIN_S = 3
_WAY = {"make": "Make one", "library": "Pick one from the board"}


def show() -> None:
    """Show the ways to an exercise, what is known of it, and whom to give it to."""
    st.title("Set an exercise", anchor=False)
    st.text("Choose a circuit and a fault. The complaint tells what the vehicle then does.")
    way = st.segmented_control(
        "Where it comes from",
        list(_WAY),
        default="make",
        format_func=_WAY.__getitem__,
        key="set_way",
        required=True,
        label_visibility="collapsed",
    )
    entry = _made() if way == "make" else _picked()
    if entry is not None:
        _next(entry)


# ---- from the board


def _picked() -> LibraryExercise | None:
    exercises, _ = read_slips()
    by_name = {one.name: one for one in exercises}
    words = {
        one.name: f"{one.circuit.title}, slip {one.slip}, level {one.level}: {one.complaint}"
        for one in exercises
    }
    name = st.selectbox(
        "Exercise", list(by_name), index=None, format_func=words.__getitem__, key="set_picked"
    )
    if name is None:
        return None
    exercise = by_name[name]
    with st.container(border=True, key="set_told"):
        faults = exercise.faults
        st.text(f"“{exercise.complaint}”")
        st.text(f"What is wrong: {giving.fault_words(exercise.circuit, faults)}.")
        st.text(f"It trains: {exercise.skill}. Level {exercise.level} of 4.")
    return work.entry_of(exercise)


# ---- made here


def _made() -> LibraryExercise | None:
    with st.container(key="set_choices"):
        circuit = _circuit()
        kind = _kind(circuit)
        place = _place(circuit, kind)
        severity = _severity(kind)
    fault = _fault(circuit, kind, place, severity)
    wish = _rules(circuit, Wish(() if fault is None else (fault,)))
    table = ahead.table(circuit)
    if table is None:
        _not_ready(circuit)
        return None
    if st.button("Check it", type="primary", key="set_check"):
        _check(circuit, wish, table)
    kept: tuple[Wish, Composed] | None = st.session_state.get(_REVIEWED)
    if kept is None or kept[0] != wish:
        return None
    giving.show_review(kept[1])
    return None if kept[1].problems else kept[1].entry


def _circuit() -> Circuit:
    circuits = sorted(map(library_circuit, circuit_names()), key=lambda c: (c.lesson, c.title))
    titles = {circuit.name: circuit.title for circuit in circuits}
    return library_circuit(
        st.selectbox("Circuit", list(titles), format_func=titles.__getitem__, key="set_circuit")
    )


def _kind(circuit: Circuit) -> str:
    words = {kind: KINDS[kind].words.capitalize() for kind in kinds_in(circuit)}
    words[_NOTHING] = "Nothing: it works as designed"
    return st.selectbox("What is wrong", list(words), format_func=words.__getitem__, key="set_kind")


def _place(circuit: Circuit, kind: str) -> str:
    if kind == _NOTHING:
        return _ANYWHERE
    words = {_ANYWHERE: "Anywhere: drawn by chance"}
    words |= {place.name: place.title for place in places_for(circuit, kind)}
    return st.selectbox("Where", list(words), format_func=words.__getitem__, key="set_place")


def _severity(kind: str) -> float:
    if kind == _NOTHING or not KINDS[kind].grid:
        return 0.0
    unit = KINDS[kind].unit
    return st.selectbox(
        "How bad",
        list(KINDS[kind].grid),
        index=list(KINDS[kind].grid).index(KINDS[kind].usual),
        format_func=lambda severity: f"{severity:g} {unit}",
        key="set_severity",
    )


def _fault(circuit: Circuit, kind: str, place: str, severity: float) -> Fault | None:
    """Return the fault that is chosen; one that is drawn stays until the choice changes."""
    if kind == _NOTHING:
        return None
    if place != _ANYWHERE:
        return Fault(place, kind, severity)
    asked = (circuit.digest, kind)
    if st.session_state.get("set_asked") != asked:
        st.session_state["set_asked"] = asked
        st.session_state["set_drawn"] = drawn_fault(circuit, kind, Random(secrets.randbits(32)))
    drawn: Fault = st.session_state["set_drawn"]
    st.text(f"Drawn: {place_title(circuit, drawn.place)}.")
    return replace(drawn, severity=severity)


def _rules(circuit: Circuit, wish: Wish) -> Wish:
    suggested = suggested_complaint(circuit, wish.faults)
    complaint = st.text_area(
        "Complaint on the slip",
        value=suggested,
        key=f"set_complaint_{abs(hash((circuit.digest, wish.faults)))}",
        max_chars=600,
        help="Written from what the vehicle does; put it into the words of a driver.",
    )
    with st.expander("Rules of the job"):
        skills = [skill.title for skill in SKILLS]
        skill = st.selectbox("It trains", skills, key="set_skill")
        level = st.select_slider(
            "Level",
            list(board.LEVELS),
            2,
            format_func=lambda level: f"{level}, {board.LEVELS[level]}",
            key="set_level",
        )
        instruments = st.multiselect(
            "Instruments", list(INSTRUMENTS), list(INSTRUMENTS), key="set_instruments"
        )
        places = {place.name: place.title for place in circuit.places}
        closed = st.multiselect(
            "Places that are closed", list(places), format_func=places.__getitem__, key="set_closed"
        )
        conditions = st.multiselect(
            "It comes and goes",
            list(CONDITIONS),
            format_func=CONDITIONS.__getitem__,
            key="set_conditions",
            help="What the complaint tells of when it shows.",
        )
        hints = st.select_slider("Deepest hint", [0, 1, 2, 3], 3, key="set_hints")
        expected = st.checkbox("The log shows what a sound vehicle shows", key="set_expected")
        suspects = st.checkbox("Suspects are listed first", key="set_suspects")
        asks = st.checkbox("Expectations are stated before each reading", key="set_asks")
    return replace(
        wish,
        complaint=complaint,
        skill=skill,
        level=level,
        instruments=tuple(instruments),
        closed_places=tuple(closed),
        conditions=tuple(conditions),
        hints=hints,
        shows_expected=expected,
        asks_suspects=suspects,
        asks_expected=asks,
    )


@st.fragment(run_every=LOOK_AGAIN_S)
@guarded
def _not_ready(circuit: Circuit) -> None:
    share = ahead.share(circuit)
    if share is None:
        st.text("This server works out no tests ahead, so it cannot check an exercise.")
        return
    if share == 1.0:
        st.rerun()
    ahead.want_of(circuit, library_body(circuit.name))
    st.text(
        f"The tests of this circuit are being worked out: {100 * share:.0f} % is done. "
        "An exercise can be checked once they are."
    )
    st.progress(share)


def _check(circuit: Circuit, wish: Wish, table: Table) -> None:
    number = 1 + secrets.randbelow(999)
    with st.spinner("Working out a path, and what it leaves"):
        try:
            made = composed(wish, circuit.name, library_body(circuit.name), table, number=number)
        except (ExerciseFileError, CircuitError) as error:
            st.session_state.pop(_REVIEWED, None)
            for sentence in error.problems:
                st.error(sentence)
            return
    st.session_state[_REVIEWED] = (wish, made)


# ---- what to do with it


def _next(entry: LibraryExercise) -> None:
    st.subheader("Give it out", anchor=False)
    if st.button("Try it as a learner would", key="set_try"):
        begun = work.begin_entry(entry)
        if begun:
            board.to_bench(begun)
    giving.panel(entry)
