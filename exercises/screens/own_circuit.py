"""My circuits: a circuit of one's own, from a template's questions, from tables or as a file."""

from collections.abc import Callable, Iterable
from dataclasses import replace

import pandas as pd
import streamlit as st

from circuits.model import AS_FOUND, CircuitError
from exercises.own.answers import accepted
from exercises.own.draft import (
    PAPER,
    OwnCircuit,
    Standing,
    begun_from,
    begun_from_text,
    nearest_circuit,
    own_from_json,
    own_to_json,
    standing,
    to_tables,
    toml_of,
)
from exercises.own.filling import Cavities
from exercises.own.making import WHOLE
from exercises.own.sheets import COLUMNS, Sheets
from exercises.own.templates import Question, template, template_names
from exercises.papers import Changed, Paper
from exercises.records import StoreError
from exercises.screens.components.surface import still_picture
from exercises.screens.house import now_ms
from exercises.screens.panels.diagram import diagram
from exercises.screens.visitor import papers

_MOST_BYTES = 256_000
_TABLES = {
    "places": "Places, and the minutes to get at each once",
    "parts": "Parts",
    "connectors": "Connectors",
    "cavities": "Cavities",
    "wires": "Wires",
}
_BEHIND = "This circuit was changed in another window. It is shown as it is now; change it again."


def show() -> None:
    """Show the circuit in the address, or the way to one."""
    paper = _open_paper()
    if paper is None:
        _choose()
        return
    own = own_from_json(paper.body)
    now = standing(own)
    _heading(own, now)
    with st.container(key="own_circuit"):
        with st.container(key="own_entry"):
            _questions(own, now) if own.sheets is None else _tables(own.sheets, now)
        with st.container(key="own_drawing"):
            _drawing(own, now)


def _open_paper() -> Paper | None:
    """Return the paper in the address; a copy in the session may be newer than a refresh."""
    named = st.query_params.get("circuit", "") or st.session_state.get("own_id", "")
    if not named:
        return None
    st.query_params["circuit"] = named
    st.session_state["own_id"] = named
    try:
        paper = papers().paper(named, PAPER)
    except StoreError as error:
        _close()
        st.error(str(error))
        return None
    st.session_state["own_paper"] = paper
    return paper


def _close() -> None:
    for name in ("own_id", "own_paper"):
        st.session_state.pop(name, None)
    st.query_params.pop("circuit", None)


def _open(paper: Paper) -> None:
    st.session_state["own_id"] = paper.id
    st.query_params["circuit"] = paper.id


# ---- the way to a circuit


def _choose() -> None:
    st.title("My circuits", anchor=False)
    st.text(
        "Make the lab a circuit of your own vehicle: it will draw it, plan the tests and weigh "
        "what you read. Begin with what comes closest; every value can be changed later."
    )
    _kept()
    st.subheader("A new one", anchor=False)
    with st.container(key="own_templates"):
        for name in template_names():
            shape = template(name)
            with st.container(border=True, key=f"own_template_{name}"):
                st.text(shape.title)
                st.text(shape.summary)
                st.button("Begin with this", key=f"own_begin_{name}", on_click=_begin, args=(name,))
    _upload()


def _kept() -> None:
    try:
        mine = papers().latest(PAPER)
    except StoreError as error:
        st.error(str(error))
        return
    if mine:
        st.subheader("Go on with", anchor=False)
    for paper in mine:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.text(paper.title, width="stretch")
            st.button("Open", key=f"own_open_{paper.id}", on_click=_open, args=(paper,))


def _begin(name: str) -> None:
    _keep_new(begun_from(name))


def _keep_new(own: OwnCircuit) -> None:
    try:
        _open(papers().begin(PAPER, own.title, own_to_json(own), at=now_ms()))
    except StoreError as error:
        st.session_state["own_said"] = str(error)


def _upload() -> None:
    st.subheader("A circuit file", anchor=False)
    given = st.file_uploader("A circuit file, ending in .toml", type=["toml"], key="own_file")
    if given is None or not st.button("Take this file", key="own_take"):
        return
    data = given.getvalue()
    if len(data) > _MOST_BYTES:
        st.error(f"Found {len(data) // 1000} kB; accepted: up to {_MOST_BYTES // 1000} kB.")
        return
    try:
        text = data.decode()
        own = begun_from_text(text, title=given.name.removesuffix(".toml"))
    except UnicodeDecodeError:
        st.error("Found bytes that are no text; accepted: a TOML file in UTF-8.")
    except CircuitError as error:
        for sentence in error.problems:
            st.error(sentence)
    else:
        _keep_new(own)
        st.rerun()


# ---- one circuit


def _heading(own: OwnCircuit, now: Standing) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom", key="own_head"):
        st.text_input(
            "Name of this circuit",
            value=own.title,
            key="own_title",
            on_change=_changing(lambda own: replace(own, title=_typed("own_title").strip())),
            width=360,
        )
        if own.sheets is None:
            st.button(
                "Go over to tables",
                on_click=_changing(to_tables),
                help="Parts, wires and cavities row by row. The questions are then closed.",
            )
        if now.made.circuit is not None:
            st.download_button(
                "Save as a file",
                toml_of(now.made),
                file_name=f"{own.title}.toml",
                mime="application/toml",
                on_click="ignore",
            )
        st.button("Another circuit", on_click=_close)
    _say(now.answers.get("title", ""))
    _say(str(st.session_state.pop("own_said", "")))


def _typed(key: str) -> str:
    return str(st.session_state.get(key) or "")


def _changing(change: Callable[[OwnCircuit], OwnCircuit]) -> Callable[[], None]:
    """Return a callback that changes the open circuit and keeps it at once."""

    def act() -> None:
        paper: Paper = st.session_state["own_paper"]
        before = own_from_json(paper.body)
        own = change(before)
        if own == before:
            return
        try:
            kept = papers().change(paper, own.title or "Unnamed", own_to_json(own), at=now_ms())
        except StoreError as error:
            st.session_state["own_said"] = str(error)
            return
        if isinstance(kept, Changed):
            st.session_state["own_said"] = _BEHIND

    return act


def _say(sentence: str) -> None:
    if sentence:
        st.error(sentence[0].upper() + sentence[1:])


def _drawing(own: OwnCircuit, now: Standing) -> None:
    circuit = nearest_circuit(own, now)
    if circuit is None:
        st.text("The drawing comes back as soon as what is marked is put right.")
        return
    if now.made.circuit is None:
        st.text("Drawn as if what is marked had been left empty.")
    still_picture("own_diagram", diagram(circuit, AS_FOUND))


def _questions(own: OwnCircuit, now: Standing) -> None:
    shape = template(own.template)
    st.text("Leave empty what you do not know: the usual value stands then, with a wide tolerance.")
    for question in shape.questions:
        _ask(question, own, now)
    for connector in shape.body["connectors"]:
        labels = tuple(connector["labels"])
        own_cavities = own.answers.cavities.get(
            connector["name"], Cavities(len(labels), tuple(range(1, len(labels) + 1)))
        )
        with st.expander(f"{connector['title']} {connector['name']}: its cavities"):
            _ask_cavities(connector["name"], labels, own_cavities)
        _say(now.answers.get(connector["name"], ""))


def _ask(question: Question, own: OwnCircuit, now: Standing) -> None:
    key = f"own_answer_{question.name}"

    def take(own: OwnCircuit) -> OwnCircuit:
        typed = {**own.answers.typed, question.name: _typed(key)}
        return replace(own, answers=replace(own.answers, typed=typed))

    st.text_input(
        question.ask,
        value=own.answers.typed.get(question.name, ""),
        key=key,
        placeholder=f"not known: {question.usual:g} {question.unit}, give or take "
        f"{100 * question.unsure:g} %",
        help=f"Accepted: {accepted(question)}.",
        on_change=_changing(take),
    )
    _say(now.answers.get(question.name, ""))


def _ask_cavities(name: str, labels: tuple[str, ...], cavities: Cavities) -> None:
    key = f"own_cavities_{name}"

    def take(own: OwnCircuit) -> OwnCircuit:
        numbers = tuple(int(st.session_state[f"{key}_{n}"]) for n in range(len(labels)))
        given = Cavities(int(st.session_state[key]), numbers)
        cavities = {**own.answers.cavities, name: given}
        return replace(own, answers=replace(own.answers, cavities=cavities))

    st.number_input(
        "How many cavities has it?", 1, 60, cavities.count, key=key, on_change=_changing(take)
    )
    for n, (label, number) in enumerate(zip(labels, cavities.numbers, strict=True)):
        st.number_input(
            f"Which one is: {label}?", 1, 60, number, key=f"{key}_{n}", on_change=_changing(take)
        )


def _tables(sheets: Sheets, now: Standing) -> None:
    for sentence in now.made.problems.get(WHOLE, ()):
        st.error(sentence)
    for table, title in _TABLES.items():
        st.subheader(title, anchor=False)
        edited = st.data_editor(
            pd.DataFrame(list(sheets.tables[table]), columns=list(COLUMNS[table]), dtype=str),
            num_rows="dynamic",
            hide_index=True,
            width="stretch",
            key=f"own_table_{table}",
        )
        for sentence in _beside(table, now):
            st.error(sentence)
        rows = tuple(_row(row) for row in edited.fillna("").to_dict("records"))
        if rows != tuple(sheets.tables[table]):
            _keep_rows(table, rows)


def _row(record: dict[object, object]) -> dict[str, str]:
    return {str(column): str(cell) for column, cell in record.items()}


def _keep_rows(table: str, rows: tuple[dict[str, str], ...]) -> None:
    def take(own: OwnCircuit) -> OwnCircuit:
        if own.sheets is None:
            return own
        return replace(own, sheets=Sheets({**own.sheets.tables, table: rows}, own.sheets.rest))

    _changing(take)()
    st.session_state.pop(f"own_table_{table}", None)
    st.rerun()


def _beside(table: str, now: Standing) -> Iterable[str]:
    for (where, number), sentences in sorted(now.made.problems.items()):
        if where == table:
            yield from (f"Row {number}: {sentence}" for sentence in sentences)
