"""The history in words, and going to any line of it, also after a restart."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

from desk_scenes import S, opened, presenter_on

from annotate.tags import Leaning
from annotate.vocabulary_file import shipped_vocabulary
from app.review.past import START, Past, Standing, past_lines
from app.review.presenter import ReviewPresenter
from store import Store, open_store


def write(presenter: ReviewPresenter, *words: str) -> None:
    for n, text in enumerate(words):
        assert presenter.keep_comment(text, n * S, Leaning.NEUTRAL)


def texts(presenter: ReviewPresenter) -> list[str]:
    return [comment.text for comment in presenter.markup.comments]


def read(presenter: ReviewPresenter) -> Past:
    past = Past(presenter)
    past.read()
    return past


def shown(past: Past) -> list[tuple[str, Standing]]:
    return [(line.words, line.standing) for line in past.lines]


def test_nothing_done_is_no_line(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        assert read(presenter_on(store)).lines == ()


def test_lines_say_what_was_done_by_whom_and_where_the_review_is(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, "a", "b", "c")
        presenter.undo()
        assert shown(read(presenter)) == [
            ("Comment 'c' written at 0:02.0", Standing.UNDONE),
            ("Comment 'b' written at 0:01.0", Standing.HERE),
            ("Comment 'a' written at 0:00.0", Standing.STANDS),
            (START, Standing.STANDS),
        ]
        line = read(presenter).lines[0]
        assert line.by == "A-01"
        assert line.at is not None
        assert line.at.tzinfo is not None
        write(presenter, "d")
        assert read(presenter).lines[1].standing is Standing.REPLACED


def test_one_goes_to_a_line_and_on_again(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, *"abcde")
        past = read(presenter)
        said = past.go_to(past.lines[3])
        assert said == "3 edits taken back, to 'Comment 'b' written at 0:01.0'. " \
            "Ctrl+Shift+Z does them again."  # fmt: skip
        assert texts(presenter) == ["a", "b"]
        said = past.go_to(past.lines[1])
        assert said.startswith("2 edits done again, to 'Comment 'd'")
        assert texts(presenter) == list("abcd")
        assert past.go_to(past.lines[1]) == "The review is there already."
        assert past.go_to(past.lines[-1]).startswith("4 edits taken back, to the review as it")
        assert texts(presenter) == []
        assert past.lines[-1].standing is Standing.HERE
        past.go_to(past.lines[0])
        assert texts(presenter) == list("abcde")


def test_what_was_replaced_or_signed_cannot_be_gone_to(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, "a", "b")
        presenter.undo()
        write(presenter, "c")
        past = read(presenter)
        replaced = next(line for line in past.lines if line.standing is Standing.REPLACED)
        assert "no longer" in past.go_to(replaced)
        assert presenter.sign()
        past.read()
        assert past.lines[0].words == "Signed; the review takes no more edits"
        assert {line.standing for line in past.lines} == {Standing.FINAL, Standing.REPLACED}
        assert past.go_to(past.lines[1]) == presenter.why_not
        assert texts(presenter) == ["a", "c"]


def test_the_next_edition_begins_with_what_it_goes_on_from(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, "a")
        presenter.sign()
        session = store.next_edition(presenter.session.id, "A-01")
        again = ReviewPresenter(store, presenter.case, session, presenter.vocabulary)
        write(again, "b")
        past = read(again)
        assert [line.words for line in past.lines] == [
            "Comment 'b' written at 0:00.0",
            "Before all that can still be taken back",
            "Gone on with the signed review",
        ]
        past.go_to(past.lines[1])
        assert texts(again) == ["a"]


def test_one_step_that_cannot_be_made_stops_and_is_said(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, *"abc")
        past = read(presenter)
        steps = iter([True, False])
        real = presenter.undo
        presenter.undo = lambda: next(steps) and real()  # type: ignore[method-assign]
        assert past.go_to(past.lines[-1]).startswith("1 edit taken back; 2 more could not be")
        assert texts(presenter) == ["a", "b"]


def test_going_anywhere_at_random_shows_what_stood_there(tmp_path: Path) -> None:
    """From memory of what each line held: the model is a list of sets of words."""
    rng = random.Random(4)
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        stood: dict[str | None, list[str]] = {None: []}
        for n in range(60):
            past = read(presenter)
            can = [x for x in past.lines if x.standing not in (Standing.REPLACED, Standing.FINAL)]
            if can and rng.random() < 0.5:
                line = rng.choice(can)
                past.go_to(line)
                assert sorted(texts(presenter)) == sorted(stood[line.id])
            else:
                assert presenter.keep_comment(f"word {n}", n * S, Leaning.NEUTRAL)
                stood[past_lines(presenter.history())[0].id] = texts(presenter)


AFTER = """
import sys
from annotate.vocabulary_file import shipped_vocabulary
from app.review.past import Past
from app.review.presenter import ReviewPresenter
from store import open_store
with open_store(sys.argv[1]) as store:
    case = store.case(sys.argv[2])
    session = store.find_session(case.id)
    presenter = ReviewPresenter(store, case, session, shipped_vocabulary(case.vocabulary))
    past = Past(presenter)
    past.read()
    past.go_to(past.lines[int(sys.argv[3])])
    print(",".join(c.text for c in presenter.markup.comments))
"""


def test_it_works_in_a_program_started_anew(tmp_path: Path) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, *"abcd")
        presenter.undo()
    file = tmp_path / "desk.sqlite"

    def anew(place: int) -> str:
        root = str(Path(__file__).parents[3])
        words = [sys.executable, "-c", AFTER, str(file), presenter.case.code, str(place)]
        done = subprocess.run(words, capture_output=True, text=True, check=True, cwd=root)
        return done.stdout.strip()

    assert anew(3) == "a"
    assert anew(0) == "a,b,c,d"
    with open_store(file) as store:
        assert texts(reopened(store, presenter)) == list("abcd")


def reopened(store: Store, before: ReviewPresenter) -> ReviewPresenter:
    case = store.case(before.case.code)
    session = store.find_session(case.id)
    return ReviewPresenter(store, case, session, shipped_vocabulary(case.vocabulary))


def test_a_line_says_how_many_edits_it_takes_back_or_brings_again_and_that_is_what_happens(
    tmp_path: Path,
) -> None:
    with opened(tmp_path) as store:
        presenter = presenter_on(store)
        write(presenter, *"abcd")
        past = read(presenter)
        again = "edits done since; Ctrl+Shift+Z brings them again, one a press."
        assert [past.would(line) for line in past.lines] == [
            "The review is here now.",
            "Return takes back the edit done since; Ctrl+Shift+Z brings it again.",
            f"Return takes back the 2 {again}",
            f"Return takes back the 3 {again}",
            f"Return takes back the 4 {again}",
        ]
        past.go_to(past.lines[3])
        assert texts(presenter) == ["a"]
        assert past.would(past.lines[0]) == (
            "Return brings again the 3 edits up to here; Ctrl+Z takes them back, one a press."
        )
        assert past.would(past.lines[2]) == (
            "Return brings again the edit up to here; Ctrl+Z takes it back."
        )
        for _ in range(3):
            assert presenter.redo()
        assert texts(presenter) == list("abcd")
        assert not presenter.redo()
        presenter.undo()
        write(presenter, "e")
        past.read()
        assert past.would(past.lines[1]).startswith("Taken back, and other things done since")
