"""Work in a process of its own, so that a codec that crashes does not take the desk with it.

One process is kept warm, as starting one costs half a second; it is closed when nothing was asked
of it for a while and at the end. It ends by itself when this one dies.
"""

from __future__ import annotations

import logging
import pickle
from collections.abc import Callable
from typing import Any, TypeVar

from annotate.clip.stopping import ReadingStopped
from annotate.clock import shown
from annotate.errors import UserFacingError
from app.jobs.apart_child import AT, CANCELLED, DONE, FAULT, PART, STOPPED, TROUBLE
from app.jobs.apart_process import HelperProcess, ProcessDied, taken
from app.jobs.work import Cancelled, Work

_ATTEMPTS = 2
_LOOK_S = 0.03
_GRACE_S = 0.1
"""How long a deed that is to be left may take to say so; then its process is ended."""

_log = logging.getLogger(__name__)
Answer = TypeVar("Answer")


class ReaderEnded(UserFacingError):  # noqa: N818 - as its kin
    """The process that decoded died, twice."""


def apart(
    function: Callable[..., Answer],
    *args: Any,
    work: Work | None = None,
    reading: str = "the recording",
    on_part: Callable[[Any], object] | None = None,
    is_quiet: bool = False,
) -> Answer:
    """Call `function(*args, work=work)` in another process and wait for its answer.

    A process that dies is started once more; the deed then begins again.

    Parameters
    ----------
    function : callable
        Found by its name in a module that imports no Qt. A generator's parts go to `on_part`, on
        this thread, and the answer is None.
    *args
        Whatever can be packed quickly.
    work : Work, optional
        Shows progress and is asked whether to stop, which takes 0.2 s at most.
    reading : str
        What is being read, for the user.
    is_quiet : bool
        Whether to step back behind everything else that runs.

    Raises
    ------
    UserFacingError
        The deed's own; a ReaderEnded if its process died twice.
    Cancelled, ReadingStopped
        If it was called off.
    Exception
        Whatever else the deed raised, with where it did so as a note.
    """
    work = work or Work()
    deed = pickle.dumps((function, args), pickle.HIGHEST_PROTOCOL)
    for attempt in range(1, _ATTEMPTS + 1):
        work.check()
        work.done = work.total = 0.0
        try:
            with taken(is_quiet) as helper:
                return _asked(helper, deed, work, on_part)
        except ProcessDied:
            _log.warning("the process that decodes died, attempt %d", attempt)
    work.check()
    raise ReaderEnded(
        f"Reading {shown(reading, 80)} ended the reader, twice; nothing is lost.",
        "The file may be damaged: copy it from the recorder again, or try it once more.",
    )


def decoded(function: Callable[..., Answer], *args: Any, work: Work, reading: str) -> Answer:
    """Call `function(*args, work=work)`: apart where the desk asks, here for the command line."""
    if work.decodes_apart:
        return apart(function, *args, work=work, reading=reading)
    return function(*args, work=work)


def _asked(
    helper: HelperProcess, deed: bytes, work: Work, on_part: Callable[[Any], object] | None
) -> Any:
    if not helper.is_ready:  # it has only begun, and would keep a long deed waiting
        _wait_for(helper, work)
        helper.recv()
    number = helper.call(deed)
    while True:
        _wait_for(helper, work, number)
        kind, of, content = helper.recv()
        if of != number:
            continue  # of a deed that was left
        if kind == AT:
            work.done, work.total = content
        elif kind == PART and on_part is not None:
            on_part(content)
        elif kind == DONE:
            return content
        elif kind in _RAISED:
            raise _RAISED[kind](content)


def _fault(content: tuple[BaseException, str]) -> BaseException:
    error, text = content
    error.add_note(f"In the process that decodes:\n{text}")
    return error


_RAISED: dict[int, Callable[[Any], BaseException]] = {
    TROUBLE: lambda content: UserFacingError(*content),
    STOPPED: lambda _: ReadingStopped(),
    CANCELLED: lambda _: Cancelled(),
    FAULT: _fault,
}


def _wait_for(helper: HelperProcess, work: Work, number: int | None = None) -> None:
    """Wait until something can be read.

    Raises
    ------
    ProcessDied
        If the process ended.
    Cancelled
        If the work was called off: the deed was left then, or its process ended.
    """
    while not helper.can_read(_LOOK_S):
        if work.cancel.is_set():
            if number is not None:
                helper.leave(number, _GRACE_S)
            raise Cancelled
