"""Every screen and dialog in its states: empty, typical, full, broken."""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from desk_scenes import S, tag_only_case  # noqa: E402
from many_rows import many_rows  # noqa: E402
from PySide6.QtCore import QPoint, QSize  # noqa: E402
from PySide6.QtWidgets import QApplication, QMenu, QTabWidget, QWidget  # noqa: E402

from annotate.ids import CaseId, new_id  # noqa: E402
from annotate.people import Operator, Reviewer, TrainingLevel  # noqa: E402
from app.demo.caseload import make_demo_store  # noqa: E402
from app.desk.start import DEMO_REVIEWER, make_application  # noqa: E402
from app.desk.window import DeskWindow  # noqa: E402
from app.jobs.work import Work  # noqa: E402
from app.review.view import ReviewView  # noqa: E402
from app.settings import Settings  # noqa: E402
from store import Put, Store, open_store  # noqa: E402

PATIENCE_S = 60.0
R_09 = Operator("R-09", TrainingLevel.FELLOW)
"""Whose cases the bare states show; the demo has no such operator."""


@dataclass
class Scene:
    """The desk, and where its pictures go."""

    desk: DeskWindow
    typical: str
    folder: Path
    name: str

    def wait(self, until: Callable[[], bool]) -> None:
        """Let the desk run until something is so."""
        end = time.monotonic() + PATIENCE_S
        while not until():
            if time.monotonic() > end:
                raise TimeoutError(f"{self.name}: it never came to be")
            QApplication.processEvents()  # noqa: TID251 - a script, not the desk
            time.sleep(0.005)  # noqa: TID251

    def rest(self, seconds: float = 0.4) -> None:
        """Let it run for a moment."""
        end = time.monotonic() + seconds
        self.wait(lambda: time.monotonic() > end)

    def take(self, state: str, widget: QWidget | None = None) -> None:
        """Take a picture of the desk, or of something that it opened."""
        self.rest()
        path = self.folder / f"{state}-{self.name}.png"
        (widget or self.desk).grab().save(str(path))
        print(path.name)

    def dialog(self) -> QWidget:
        """What was opened over the desk."""

        def others() -> list[QWidget]:
            found = QApplication.topLevelWidgets()
            return [w for w in found if w.isVisible() and w is not self.desk and w.isWindow()]

        self.wait(lambda: bool(others()))
        return others()[-1]

    def review(self, code: str) -> ReviewView:
        """Open a case and wait for its first picture, if it has one."""
        self.desk.open_case(code)
        self.wait(lambda: self.desk.review is not None)
        view = self.desk.review
        assert view is not None
        if view.player.feed is not None:
            self.wait(lambda: view.picture.shown_number is not None)
            self.wait(lambda: view.small_pictures.pictures.is_complete)
        return view


def caseload(scene: Scene) -> None:
    """The demo's forty-four cases."""
    scene.desk.show_caseload()
    scene.wait(lambda: scene.desk.background.current is None)  # posters are made by and by
    scene.take("caseload-full")


def review_typical(scene: Scene) -> None:
    """A case that was reviewed, and every leaf of the side column."""
    view = scene.review(scene.typical)
    scene.take("review-typical")
    view.go_to_number(700)
    scene.wait(lambda: view.picture.shown_number == 700)
    view.presenter.choose(view.presenter.markup.tags[4].id)
    for leaf in view.side.leaves.ids:
        view.side.leaves.turn_to(leaf)
        scene.take(f"review-leaf-{leaf}")
    view.side.leaves.turn_to("tag")
    scene.desk.act("look-panel")
    scene.take("review-look")
    scene.desk.act("look-panel")
    scene.desk.act("picture-alone")
    scene.take("review-picture-alone")
    scene.desk.act("picture-alone")


def review_empty(scene: Scene) -> None:
    """A case that nobody has tagged."""
    store = scene.desk.store
    case = replace(tag_only_case("R-09-001"), operator=R_09, case_number=41)
    fresh = store.take_in(case, DEMO_REVIEWER)
    view = scene.review(fresh.code)
    for leaf in view.side.leaves.ids:
        view.side.leaves.turn_to(leaf)
        scene.take(f"review-empty-{leaf}")


def review_full(scene: Scene) -> None:
    """Five thousand tags on three hours."""
    store = scene.desk.store
    case = replace(
        tag_only_case("R-09-002", 3 * 3600 * S),
        id=CaseId(new_id()),
        operator=R_09,
        case_number=42,
    )
    kept = store.take_in(case, DEMO_REVIEWER)
    session = store.start_session(kept.id, Reviewer(DEMO_REVIEWER))
    rows = many_rows(session.id, 3 * 3600 * S, 5000)
    store.edit(session.id, "fill", DEMO_REVIEWER, *(Put(row) for row in rows))
    view = scene.review(kept.code)
    for leaf in view.side.leaves.ids:
        view.side.leaves.turn_to(leaf)
        scene.take(f"review-full-{leaf}")


def over(scene: Scene, *actions: str, name: str = "dialog") -> None:
    """Pictures of what actions open over the desk."""
    for action in actions:
        scene.desk.act(action)
        opened = scene.dialog()
        scene.rest(1.0)
        scene.take(f"{name}-{action}", opened)
        opened.close()
        scene.rest()


def dialogs(scene: Scene) -> None:
    """Whatever opens over the desk."""
    view = scene.review(scene.typical)
    view.presenter.choose(view.presenter.markup.tags[4].id)
    over(scene, *OVER_REVIEW)
    view.sessions.showPopup()
    scene.take("dialog-sessions", scene.dialog())
    view.sessions.hidePopup()


def panels(scene: Scene) -> None:
    """What opens within a review: the typed tag, all that the transport holds back."""
    view = scene.review(scene.typical)
    view.presenter.choose(view.presenter.markup.tags[4].id)
    for action in IN_REVIEW:
        scene.desk.act(action)
        scene.take(f"review-{action}")
        scene.desk.act(action)
    scene.desk.act("lanes")
    menu = scene.dialog()
    scene.take("review-lanes", menu)
    menu.close()


def menus(scene: Scene) -> None:
    """Each menu of the bar over a review, and the second sheet of keys."""
    view = scene.review(scene.typical)
    view.presenter.choose(view.presenter.markup.tags[4].id)
    for entry in scene.desk.menuBar().actions():
        menu = entry.menu()
        if isinstance(menu, QMenu):
            menu.popup(scene.desk.mapToGlobal(QPoint(40, 40)))
            scene.wait(menu.isVisible)
            scene.take(f"menu-{entry.text().replace('&', '').lower()}", menu)
            menu.close()
    scene.desk.act("keys")
    page = scene.dialog()
    sheets = page.findChild(QTabWidget)
    assert sheets is not None
    sheets.setCurrentIndex(1)
    scene.take("dialog-keys-2", page)
    page.close()


def read_only(scene: Scene) -> None:
    """Another's review, which is to look at."""
    store = scene.desk.store
    case = store.case(scene.typical)
    other = next(s for s in store.sessions(case.id) if s.reviewer.code != DEMO_REVIEWER)
    scene.desk.open_case(case.code, other.id)
    scene.wait(lambda: scene.desk.review is not None)
    view = scene.desk.review
    assert view is not None
    scene.wait(lambda: view.picture.shown_number is not None)
    assert not view.presenter.can_edit
    for leaf in ("tag", "history"):
        view.side.leaves.turn_to(leaf)
        scene.take(f"review-read-only-{leaf}")


def words(scene: Scene) -> None:
    """A comment half written, the phrases over it, the search in its states."""
    view = scene.review(scene.typical)
    view.go_to_number(700)
    scene.wait(lambda: view.picture.shown_number == 700)
    scene.desk.activateWindow()
    scene.wait(scene.desk.isActiveWindow)  # a column scrolls to what has the keys
    view.write_comment()
    view.comment_box.text.insertPlainText("The rim folds as the tip goes under it; ")
    scene.take("words-comment")
    view.comment_box.open_phrases()
    scene.take("words-phrases")
    view.comment_box.text.left.emit()
    dialog = view.comment_box.change_phrases()
    scene.take("words-phrases-dialog", dialog)
    dialog.close()
    panel = scene.desk.search_desk.ask()
    for state, asked in (("empty", ""), ("found", "eye"), ("none", "xylophone")):
        panel.line.setText(asked)
        scene.wait(lambda: not panel.searcher.is_busy)
        scene.take(f"words-search-{state}", panel)
    panel.close()


SCENES = (
    caseload,
    review_typical,
    review_empty,
    review_full,
    words,
    panels,
    menus,
    read_only,
    dialogs,
)
OVER_REVIEW = (
    "keys", "parts", "ribbon", "vocabulary", "me", "first-minute", "cautions",
    "go-to", "begin-with", "sign", "hand-back",
)  # fmt: skip
IN_REVIEW = ("type-times",)


def take_all(folder: Path, size: QSize, theme: str, only: str, name: str) -> None:
    """Take the pictures of one size, in pixels that are enlarged, and theme."""
    application = make_application(theme)
    with tempfile.TemporaryDirectory() as scratch:
        empty(Path(scratch), size, theme, folder, name, only)
        address = str(Path(scratch) / "demo.sqlite")
        typical = make_demo_store(address, Work())
        with open_store(address) as store:
            desk = shown_desk(store, size, theme)
            for state in SCENES:
                if only in state.__name__:
                    state(Scene(desk, typical, folder, name))
            desk.close()
    application.processEvents()


def empty(scratch: Path, size: QSize, theme: str, folder: Path, name: str, only: str) -> None:
    """A desk with no case, and what it says first."""
    if only not in "caseload_empty":
        return
    with open_store(scratch / "empty.sqlite") as store:
        desk = shown_desk(store, size, theme)
        scene = Scene(desk, "", folder, name)
        scene.take("caseload-empty")
        over(scene, "first-minute", "take-in", name="empty")
        desk.close()


def shown_desk(store: Store, size: QSize, theme: str) -> DeskWindow:
    """A desk on a store, on the screen."""
    settings = Settings(
        reviewer=DEMO_REVIEWER, theme=theme, is_hint_read=True, is_demo_hint_read=True,
        is_reviewer_asked=True,
    )  # fmt: skip
    desk = DeskWindow(store, settings, keeps_settings=False, is_demo=True)
    desk.resize(size)
    desk.show()
    return desk
