"""What the program must say of itself, in one place for the desk and every note."""

from __future__ import annotations

PURPOSE = (
    "This is for education and quality review. It is not a medical device: do not use it for "
    "diagnosis or to decide anything while an operation goes on."
)
UNCERTAINTY = (
    "Times rest on where somebody put a tag, and lengths on what a picture allows. Read every "
    "figure with its uncertainty, and compare only what was tagged in the same way."
)
DUTIES = (
    "Handle it as your institution asks: its rules on consent, on the protection of peer review "
    "and on how long recordings and notes are kept apply here too."
)
JUDGEMENT = "The judgement of a licensed surgeon stands above every number given here."

CAUTIONS: tuple[str, ...] = (PURPOSE, UNCERTAINTY, DUTIES, JUDGEMENT)
"""All of them, in the order in which they are shown."""
