"""Papers are kept whole at every press, and no window writes over what it has not seen."""

import pytest

from exercises.papers import MOST_BYTES, Changed, Paper, Papers
from exercises.records import NotKept, UnknownPaper
from exercises.store import SqlStore, open_store


@pytest.fixture
def papers(store: SqlStore) -> Papers:
    return Papers(store.database)


def begun(papers: Papers, body: object = (), *, at: int = 1_000) -> Paper:
    return papers.begin("own_circuit", "My wagon", body, at=at)


def changed(papers: Papers, seen: Paper, body: object) -> Paper:
    now = papers.change(seen, seen.title, body, at=seen.changed_at + 1)
    assert isinstance(now, Paper)
    return now


def test_a_paper_is_read_back_as_it_was_last_kept(papers: Papers) -> None:
    first = begun(papers, {"typed": {"fuse": "10 A"}})
    last = changed(papers, first, {"typed": {"fuse": "15 A", "Ω": None}})
    assert papers.paper(first.id, "own_circuit") == last
    assert (last.version, last.changed_at) == (2, 1_001)


def test_a_window_that_has_not_seen_the_last_change_writes_nothing(papers: Papers) -> None:
    seen = begun(papers, "as begun")
    ours = changed(papers, seen, "ours")
    answer = papers.change(seen, "theirs", "theirs", at=9_000)
    assert answer == Changed(ours)
    assert papers.paper(seen.id, "own_circuit") == ours


def test_papers_are_listed_by_kind_and_owner_the_last_changed_first(papers: Papers) -> None:
    old, new = begun(papers, "old", at=1_000), begun(papers, "new", at=2_000)
    papers.begin("case", "Another kind", {}, at=3_000)
    assert [p.id for p in papers.latest("own_circuit")] == [new.id, old.id]
    changed_old = papers.change(old, "old", "old", at=5_000)
    assert papers.latest("own_circuit", 1) == (changed_old,)


def test_nobody_else_finds_changes_or_lists_a_paper(papers: Papers, store: SqlStore) -> None:
    seen = begun(papers, "as begun")
    stranger = Papers(store.database, learner_id="somebody else")
    assert not stranger.latest("own_circuit")
    with pytest.raises(UnknownPaper):
        stranger.paper(seen.id, "own_circuit")
    with pytest.raises(UnknownPaper):
        stranger.change(seen, "theirs", "theirs", at=2_000)
    assert papers.paper(seen.id, "own_circuit") == seen


@pytest.mark.parametrize("wrong", ["", "Pnobody", "x" * 300, "\x00", "' OR 1=1 --"])
def test_an_id_that_is_none_is_told_in_a_sentence(papers: Papers, wrong: str) -> None:
    with pytest.raises(UnknownPaper, match="there is none of that id here"):
        papers.paper(wrong, "own_circuit")


def test_a_paper_of_another_kind_is_not_found(papers: Papers) -> None:
    with pytest.raises(UnknownPaper):
        papers.paper(begun(papers).id, "case")


@pytest.mark.parametrize("body", [float("nan"), "x" * (MOST_BYTES + 1), {1: 2}, object()])
def test_what_cannot_be_kept_is_refused_with_nothing_written(papers: Papers, body: object) -> None:
    seen = begun(papers, "as begun")
    with pytest.raises(NotKept, match="Nothing was written"):
        papers.change(seen, "title", body, at=2_000)
    assert papers.paper(seen.id, "own_circuit") == seen


def test_papers_outlive_the_program(store: SqlStore) -> None:
    seen = begun(Papers(store.database), [1, 2])
    again = open_store(str(store.database.reader.url.render_as_string(hide_password=False)))
    try:
        assert Papers(again.database).paper(seen.id, "own_circuit") == seen
    finally:
        again.close()
