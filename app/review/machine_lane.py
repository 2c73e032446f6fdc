"""The timeline's lane of machine values: what is noted as it is shown, and limits passed. No Qt."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from annotate.marks import Setting
from annotate.markup import Markup
from annotate.tags import Tag
from annotate.vocabulary import Vocabulary
from app.look.palette import Palette
from app.strip.layout import StripFrame
from app.strip.setting_shapes import setting_shapes
from app.strip.shapes import Shape
from metrics.intervals import Spans
from metrics.setting_limits import Breach, breaches_in, limited_visits


class MachineLane:
    """Shapes of the lane; visits of the phases are looked up once as long as the tags stay.

    Attributes
    ----------
    as_shown : callable
        Values that run, as far as the viewer has come with them.
    is_aside : callable
        Whether a limit passed was put aside and is not marked.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        self._tags: Sequence[Tag] = ()
        self._visits: Mapping[str, Spans] = {}
        self.as_shown: Callable[[Setting], Setting] = _as_it_is
        self.is_aside: Callable[[Breach], bool] = _never

    def __call__(self, markup: Markup, frame: StripFrame, palette: Palette) -> tuple[Shape, ...]:
        """Lay the lane out; `markup` holds the values in sight and all tags."""
        if not markup.settings:
            return ()
        if markup.tags is not self._tags:
            self._tags, self._visits = markup.tags, limited_visits(markup.tags, self._vocabulary)
        shown = replace(markup, settings=tuple(self.as_shown(each) for each in markup.settings))
        found = breaches_in(shown.settings, self._visits, self._vocabulary)
        marked = [breach for breach in found if not self.is_aside(breach)]
        return setting_shapes(shown, frame, palette, marked)


def _as_it_is(setting: Setting) -> Setting:
    return setting


def _never(_breach: Breach) -> bool:
    return False
