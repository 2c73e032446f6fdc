"""The phases of lap-chole against the data set that it names.

Twinanda AP, Shehata S, Mutter D, Marescaux J, de Mathelin M, Padoy N (2017), EndoNet: a deep
architecture for recognition tasks on laparoscopic videos, IEEE Transactions on Medical Imaging
36(1):86-97, doi:10.1109/TMI.2016.2593957. Phase names and order from memory, and the same as the
class labels in several public readers of the data set.
"""

from __future__ import annotations

from annotate.vocabulary_file import shipped_vocabulary


def test_lap_chole_has_the_seven_phases_of_its_data_set() -> None:
    words = shipped_vocabulary("lap-chole")
    assert [phase.label for phase in words.phases] == [
        "Preparation",
        "Calot triangle dissection",
        "Clipping and cutting",
        "Gallbladder dissection",
        "Gallbladder packaging",
        "Cleaning and coagulation",
        "Gallbladder retraction",
    ]
    assert "10.1109/TMI.2016.2593957" in words.source
