"""The one error that a user can mend, and is told about in a sentence."""

from __future__ import annotations


class UserFacingError(Exception):
    """Something the user can put right.

    Parameters
    ----------
    what : str
        What is wrong, as a full sentence, naming the thing and the value found.
    do : str, optional
        What is safe and what to do next, as a full sentence.
    """

    def __init__(self, what: str, do: str = "") -> None:
        self.what = what
        self.do = do
        super().__init__(f"{what} {do}".strip())
