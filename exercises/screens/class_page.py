"""Classes: who is where, what is set, who is in them. For instructors alone."""

import datetime as dt
from collections.abc import Callable

import streamlit as st

from exercises.identity.names import shown_code
from exercises.identity.office import Office
from exercises.identity.people import Assignment, ClassRoom, IdentityError, Learner
from exercises.identity.rules import rules_of
from exercises.records import StoreError
from exercises.screens import marks_panel, watching
from exercises.screens.house import now_ms
from exercises.screens.visitor import office

_ERRORS = (IdentityError, StoreError)
_VIEWS = ("Who is where", "What is set", "Marks", "Learners")
_SAID = "class_said"


def show() -> None:
    """Show one of the instructor's classes."""
    st.title("Classes", anchor=False)
    if said := st.session_state.pop(_SAID, ""):
        st.error(said)
    try:
        desk = office()
        rooms = {room.id: room for room in desk.classes()}
    except _ERRORS as error:
        st.error(str(error))
        return
    with st.container(key="class_head", horizontal=True, vertical_alignment="bottom"):
        room = _chosen(rooms)
        _new_class(desk)
    if room is None:
        st.text("There is no class yet. Make one, and give its code to your learners.")
        return
    _code(desk, room)
    view = st.segmented_control(
        "View",
        list(_VIEWS),
        default=_VIEWS[0],
        key="class_view",
        required=True,
        label_visibility="collapsed",
    )
    if view == "Who is where":
        watching.panel(room.id)
    elif view == "What is set":
        _assignments(desk, room)
    elif view == "Marks":
        marks_panel.panel(room.id)
    else:
        _learners(desk, room)


def _chosen(rooms: dict[str, ClassRoom]) -> ClassRoom | None:
    if not rooms:
        return None
    chosen = st.selectbox(
        "Class",
        list(rooms),
        format_func=lambda room: rooms[room].title,
        key="class_chosen",
        width=360,
    )
    return rooms[chosen]


def _new_class(desk: Office) -> None:
    with st.popover("Make a class"), st.form("class_new", border=False):
        title = st.text_input("Name of the class", key="class_title")
        if st.form_submit_button("Make it"):
            try:
                desk.make_class(title, at=now_ms())
            except _ERRORS as error:
                st.error(str(error))
            else:
                st.rerun()


def _doing(act: Callable[[], object]) -> Callable[[], None]:
    """Return a callback that does an act, or has the page say why it could not be done."""

    def callback() -> None:
        try:
            act()
        except _ERRORS as error:
            st.session_state[_SAID] = str(error)

    return callback


def _code(desk: Office, room: ClassRoom) -> None:
    with st.container(key="class_code", border=True, horizontal=True, vertical_alignment="center"):
        learners = f"{room.learners} learner{'s' * (room.learners != 1)}"
        st.text(f"Code to join: {shown_code(room.join_code)}", width="content")
        st.text(f"{learners} so far.", width="stretch")
        label = "Let nobody else join" if room.joining_open else "Let learners join again"
        st.button(
            label,
            key="class_joining",
            on_click=_doing(lambda: desk.set_joining(room.id, is_open=not room.joining_open)),
        )


def _assignments(desk: Office, room: ClassRoom) -> None:
    found = desk.assignments(room.id)
    if not found:
        st.text("Nothing is set for this class. Choose or make an exercise on the page Teach.")
    for one in found:
        with st.container(border=True, key=f"assignment_{one.id}"):
            _assignment(desk, one)


def _assignment(desk: Office, one: Assignment) -> None:
    rules = rules_of(one)
    st.text(f"Slip {one.exercise_body['slip']}: “{one.exercise_body['complaint'].strip()}”")
    told = [
        f"Set on {_day(one.made_at)}",
        f"due {_day(one.due)}" if one.due else "no end",
        f"for {rules.group}" if rules.group else "for everybody",
        "examination" if rules.exam else _tries(rules.most_tries),
    ]
    st.text("; ".join(told) + ".")
    with st.container(horizontal=True):
        if rules.exam and one.released_at is None:
            st.button(
                "Release the debriefs",
                key=f"release_{one.id}",
                on_click=_doing(lambda: desk.release(one.id, at=now_ms())),
            )
        if rules.exam and one.released_at is not None:
            st.button(
                "Take the debriefs back",
                key=f"withhold_{one.id}",
                on_click=_doing(lambda: desk.release(one.id, at=None)),
            )
        if one.due is None or one.due > now_ms():
            st.button(
                "End it now",
                key=f"end_{one.id}",
                on_click=_doing(lambda: desk.set_due(one.id, now_ms())),
            )
        else:
            st.button(
                "Open it again",
                key=f"reopen_{one.id}",
                on_click=_doing(lambda: desk.set_due(one.id, None)),
            )


def _tries(most: int | None) -> str:
    return "any number of tries" if most is None else f"{most} tr{'y' if most == 1 else 'ies'}"


def _day(at: int | None) -> str:
    return "" if at is None else f"{dt.datetime.fromtimestamp(at / 1000).astimezone():%-d %B %Y}"


def _learners(desk: Office, room: ClassRoom) -> None:
    found = desk.learners(room.id)
    if not found:
        st.text("Nobody has joined yet. Learners open this lab, and join with the code above.")
    for learner in found:
        with st.container(border=True, key=f"learner_{learner.id}"):
            _learner(desk, learner)


def _learner(desk: Office, learner: Learner) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.text(learner.nickname, width="stretch")
        group, pin = f"group_{learner.id}", f"pin_{learner.id}"
        st.text_input(
            "Group",
            learner.group_name or "",
            key=group,
            width=160,
            on_change=_doing(
                lambda: desk.set_group(learner.id, str(st.session_state[group]).strip() or None)
            ),
        )
        with st.popover("New PIN"):
            st.text_input("New PIN, 6 to 12 digits", key=pin, type="password")
            st.button(
                "Give it",
                key=f"give_{pin}",
                on_click=_doing(lambda: desk.new_pin(learner.id, str(st.session_state[pin]))),
            )
        with st.popover("Erase"):
            st.text("Everything this learner did here goes, for good. A backup may still have it.")
            st.button(
                "Erase it all",
                key=f"erase_{learner.id}",
                on_click=_doing(lambda: desk.erase_learner(learner.id)),
            )
