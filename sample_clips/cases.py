"""The invented cases that are committed as clips. Codes only; nobody's operation."""

from __future__ import annotations

from sample_clips.scenario import Excursion, Happening, Level, Scenario, Skill, spans

RESIDENT = Skill(tremor_mm=0.05, drift_mm=0.34, grasps=6, stroke_s=1.05, lateral=0.22)
NOVICE = Skill(tremor_mm=0.075, drift_mm=0.45, grasps=8, stroke_s=1.35, lateral=0.28)
ATTENDING = Skill(tremor_mm=0.02, drift_mm=0.14, grasps=4, stroke_s=0.85, lateral=0.05)
FELLOW = Skill(tremor_mm=0.035, drift_mm=0.24, grasps=5, stroke_s=0.95, lateral=0.12)

R07_041 = Scenario(
    name="r07-041", operator="R-07", level="resident", case_number=41,
    vocabulary="phaco-divide-conquer", seed=7041, length_s=128.0, skill=RESIDENT,
    iris="hazel", density=0.86, opening_mm=(5.34, 5.02), opening_offset_mm=(0.18, -0.12),
    primary_px=(10.0, -6.0),
    phases=spans(
        "incision 1.5-9.5, viscoelastic 10-14, capsulorhexis 14.6-30, hydrodissection 33.6-39.5,"
        "sculpt 40.2-54.2, crack 54.7-70.5, fragments 73.6-88.5, cortex 89-97.2, polish 97.6-101,"
        "viscoelastic 101.5-105, lens 108-116.4, viscoelastic-removal 116.8-121.4,"
        "closure 121.8-127"
    ),
    idle=spans("exchange 30.0-33.6, talk 70.5-73.6, wait 105-108"),
    events=(
        Happening("good-move", 20.5, 22.5, "commend", 1,
                  "The flap is let go and taken again close to the tear."),
        Happening("eye-off-centre", 24.2, 26.0, "correct", 1,
                  "The eye is pulled towards the incision by the forceps."),
        Happening("needle-on-wound", 45.0, 48.2, "correct", 3,
                  "The needle lies on the side of the incision while it sculpts."),
        Happening("eye-off-centre", 50.4, 52.0, "correct", 2,
                  "The stroke pushes the eye out of the middle."),
        Happening("crack-incomplete", 57.2, 60.2, "correct", 2,
                  "The first crack does not reach the back plate and falls shut."),
        Happening("vacuum-lost", 79.4, None, "correct", 2, "The quarter is lost on the way in."),
        Happening("needle-on-wound", 81.5, 84.0, "correct", 2,
                  "The needle leans on the incision during the third quarter."),
        Happening("chamber-shallow", 85.4, 86.4, "correct", 2,
                  "The chamber shallows as the piece clears."),
        Happening("eye-off-centre", 93.0, 94.4, "correct", 1, "The eye rolls with the aspirator."),
        Happening("good-move", 112.6, 114.8, "commend", 1, "The optic is turned in calmly."),
    ),
    excursions=(
        Excursion(24.2, 1.2, 55.0, 0.34), Excursion(50.4, 1.0, 238.0, 0.42),
        Excursion(66.8, 0.8, 20.0, 0.26), Excursion(93.0, 0.9, 150.0, 0.36),
    ),
    zooms=((0.0, 1.0), (14.0, 1.12), (31.0, 1.0), (105.6, 0.94)),
    glare=(Level(11.6, 13.2, 0.45), Level(104.2, 106.6, 0.5)),
    defocus=(Level(39.6, 41.8, 0.30), Level(72.0, 73.4, 0.42)),
    parts=((0.0, 62.4), (62.4, 128.0)),
)  # fmt: skip

R07_012 = Scenario(
    name="r07-012", operator="R-07", level="resident", case_number=12,
    vocabulary="phaco-divide-conquer", seed=7012, length_s=112.0, skill=NOVICE,
    iris="blue", density=0.80, opening_mm=(5.28, 4.88), opening_offset_mm=(-0.28, 0.16),
    primary_px=(-14.0, 4.0),
    phases=spans(
        "incision 1.5-10, viscoelastic 12.4-16, capsulorhexis 16.6-35, hydrodissection 38-43.2,"
        "sculpt 46.2-60, crack 60.6-70, fragments 75-88, cortex 88.8-95, viscoelastic 95.5-98,"
        "lens 100.6-107, closure 107.4-111.4"
    ),
    idle=spans("exchange 10-12.4, wait 35-38, talk 43.2-46.2, view-lost 70-75, exchange 98-100.6"),
    events=(
        Happening("eye-off-centre", 6.6, 8.2, "correct", 2, "No counter-pressure at the incision."),
        Happening("eye-off-centre", 21.0, 22.8, "correct", 2, "The eye is dragged by the flap."),
        Happening("eye-off-centre", 29.4, 31.4, "correct", 2, "And once more, further."),
        Happening("needle-on-wound", 49.5, 53.5, "correct", 3,
                  "The needle leans on the incision through most strokes."),
        Happening("eye-off-centre", 55.0, 56.8, "correct", 2, "The eye follows the stroke."),
        Happening("crack-incomplete", 62.5, 64.4, "correct", 2, "The crack falls shut."),
        Happening("vacuum-lost", 77.15, None, "correct", 1, "The quarter springs away."),
        Happening("chamber-shallow", 84.6, 85.8, "correct", 3, "The chamber comes forward."),
        Happening("iris-touch", 91.0, 91.8, "correct", 2, "The tip catches the pupil's edge."),
    ),
    excursions=(
        Excursion(6.6, 1.0, 240.0, 0.38), Excursion(21.0, 1.2, 62.0, 0.40),
        Excursion(29.4, 1.4, 30.0, 0.50), Excursion(41.0, 0.7, 200.0, 0.28),
        Excursion(55.0, 1.2, 236.0, 0.46), Excursion(67.4, 0.9, 120.0, 0.33),
        Excursion(81.0, 1.0, 330.0, 0.36), Excursion(104.0, 0.8, 70.0, 0.30),
    ),
    zooms=((0.0, 0.96), (36.0, 1.08), (73.0, 0.98)),
    glare=(Level(44.0, 46.6, 0.55), Level(97.0, 99.0, 0.4)),
    defocus=(Level(26.0, 28.6, 0.34), Level(86.0, 88.4, 0.38)),
    covers=(Level(70.8, 73.8, 1.0),),
)  # fmt: skip

A01_MODEL = Scenario(
    name="a01-model", operator="A-01", level="attending", case_number=2400,
    vocabulary="phaco-divide-conquer", seed=101, length_s=76.0, skill=ATTENDING,
    iris="brown", density=0.88, opening_mm=(5.26, 5.16), opening_offset_mm=(0.06, -0.05),
    primary_px=(4.0, -3.0), is_model=True,
    phases=spans(
        "incision 1-6, viscoelastic 6.4-9, capsulorhexis 9.4-18.6, hydrodissection 19-23,"
        "sculpt 23.4-32, crack 32.4-39, fragments 39.4-49, cortex 49.4-54.6, polish 54.9-57.4,"
        "viscoelastic 57.7-59.8, lens 61.6-67.4, viscoelastic-removal 67.6-71, closure 71.4-75.6"
    ),
    idle=spans("exchange 59.8-61.6"),
    events=(
        Happening("good-move", 12.0, 17.0, "commend", 2,
                  "The tear is led round with few grasps, each close to its edge."),
        Happening("good-move", 25.0, 31.0, "commend", 1,
                  "The needle stays in the middle of the incision."),
        Happening("good-move", 34.4, 35.6, "commend", 2, "Both instruments deep, one clean split."),
        Happening("good-move", 64.8, 66.6, "commend", 1, "The optic is seated in one movement."),
    ),
    excursions=(Excursion(45.0, 0.5, 210.0, 0.20),),
    zooms=((0.0, 1.0), (9.2, 1.1), (18.8, 1.0)),
    glare=(Level(58.0, 59.4, 0.3),),
)  # fmt: skip

R03_020 = Scenario(
    name="r03-020-vfr", operator="R-03", level="resident", case_number=20,
    vocabulary="phaco-stop-chop", seed=3020, length_s=84.0, skill=FELLOW,
    iris="dark", density=0.9, is_dyed=True, opening_mm=(5.30, 5.06),
    opening_offset_mm=(0.05, 0.16), primary_px=(-6.0, 8.0), is_variable_rate=True,
    phases=spans(
        "incision 1.8-7.2, viscoelastic 7.6-10.6, capsulorhexis 11-22.6, hydrodissection 23-27.6,"
        "sculpt 28.2-35, crack 35.5-40, chop 42.4-49, fragments 49.5-60.5, cortex 61-67,"
        "lens 69.6-76.6, viscoelastic-removal 77-80, closure 80.3-83.6"
    ),
    idle=spans("exchange 40-42.4, wait 67-69.6"),
    events=(
        Happening("good-move", 14.0, 16.0, "commend", 1, "Dye keeps the edge in sight."),
        Happening("eye-off-centre", 31.4, 33.0, "correct", 1, "The eye follows the stroke."),
        Happening("chop-incomplete", 43.4, 45.4, "correct", 2, "The first chop stays shallow."),
        Happening("needle-on-wound", 54.0, 56.0, "correct", 2, "The needle leans to one side."),
        Happening("iris-touch", 64.2, 64.8, "correct", 1, "The tip touches the pupil's edge."),
    ),
    excursions=(
        Excursion(18.0, 0.9, 40.0, 0.28), Excursion(31.4, 1.0, 242.0, 0.36),
        Excursion(58.0, 0.8, 190.0, 0.30),
    ),
    zooms=((0.0, 1.0), (27.8, 1.06), (68.0, 0.96)),
    glare=(Level(41.0, 42.2, 0.4),),
    defocus=(Level(67.4, 69.4, 0.36),),
)  # fmt: skip

CASES: tuple[Scenario, ...] = (R07_041, R07_012, A01_MODEL, R03_020)
