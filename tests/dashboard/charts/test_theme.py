"""Tones that can be told apart by everyone, and one dress for every picture."""

import itertools
import json
import re
import tomllib
from pathlib import Path

import altair as alt
import numpy as np
import polars as pl
import pytest

import dashboard
from dashboard.charts import theme
from dashboard.charts.theme import DAY, NIGHT, Tones, dressed

# Machado, Oliveira and Fernandes, A physiologically-based model for simulation of color vision deficiency, IEEE TVCG 15(6), 2009,
# severity 1.0; the figures are from memory, and each row adds to one as it must (white stays white).
KINDS_OF_SIGHT = {
    "full colour": np.eye(3),
    "no red cones": np.array([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]),
    "no green cones": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]),
    "no blue cones": np.array([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]),
}
# IEC 61966-2-1 (sRGB to CIE XYZ, D65); from memory.
TO_XYZ = np.array([[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]])
WHITE = np.array([0.95047, 1.0, 1.08883])
DATA_TONES = ("sea", "oxide", "brass", "weed", "stone")
FAR_ENOUGH = 14.0


def light_of(tone: str) -> np.ndarray:
    """Return the three linear intensities of #RRGGBB."""
    shares = np.array([int(tone[place : place + 2], 16) for place in (1, 3, 5)]) / 255
    return np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)


def lab_of(light: np.ndarray) -> np.ndarray:
    """Return CIELAB (CIE 1976) of linear intensities."""
    parts = TO_XYZ @ np.clip(light, 0, 1) / WHITE
    bent = np.where(parts > (6 / 29) ** 3, np.cbrt(parts), parts / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * bent[1] - 16, 500 * (bent[0] - bent[1]), 200 * (bent[1] - bent[2])])


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.1, success criterion 1.4.3: (lighter + 0.05) / (darker + 0.05)."""
    darker, lighter = sorted(float(TO_XYZ[1] @ light_of(tone)) for tone in (one, other))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("tones", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize("sight", KINDS_OF_SIGHT)
def test_tones_for_data_can_be_told_apart_by_everyone(tones: Tones, sight: str):
    seen = {name: lab_of(KINDS_OF_SIGHT[sight] @ light_of(getattr(tones, name))) for name in DATA_TONES}
    nearest = min(float(np.linalg.norm(seen[one] - seen[other])) for one, other in itertools.combinations(DATA_TONES, 2))
    assert nearest >= FAR_ENOUGH


def test_every_kind_of_sight_leaves_white_white():
    for matrix in KINDS_OF_SIGHT.values():
        assert matrix.sum(axis=1) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize("tones", [DAY, NIGHT], ids=["day", "night"])
def test_words_and_marks_stand_out_from_the_paper(tones: Tones):
    # WCAG 2.1: 4.5 for words (1.4.3), 3 for marks (1.4.11).
    assert all(contrast(getattr(tones, words), tones.paper) >= 4.5 for words in ("ink", "pencil"))
    assert all(contrast(getattr(tones, words), tones.wash) >= 4.5 for words in ("ink", "pencil"))
    assert all(contrast(getattr(tones, mark), tones.paper) >= 3.0 for mark in DATA_TONES)


def a_chart() -> alt.Chart:
    return alt.Chart(pl.DataFrame({"x": [1, 2], "y": [3, 4]})).mark_line(style=theme.MEASURED).encode(x="x:Q", y="y:Q")


def test_day_and_night_differ_in_their_tones_only():
    day, night = dressed(a_chart(), night=False), dressed(a_chart(), night=True)
    assert day["config"] != night["config"]
    assert {key: value for key, value in day.items() if key != "config"} == {key: value for key, value in night.items() if key != "config"}


def test_every_role_has_a_look_by_day_and_by_night():
    roles = {value for name, value in vars(theme).items() if name.isupper() and isinstance(value, str) and name not in ("FONT",)}
    assert set(dressed(a_chart())["config"]["style"]) == roles


def test_a_chart_names_no_colour_of_its_own():
    for file in Path(theme.__file__).parent.glob("*.py"):
        if file.name != "theme.py":
            assert not re.search(r"#[0-9a-fA-F]{6}|color=", file.read_text(encoding="utf-8")), file.name


def test_the_pages_wear_the_same_tones_as_the_pictures():
    settings = tomllib.loads((Path(dashboard.__file__).parent / ".streamlit" / "config.toml").read_text(encoding="utf-8"))["theme"]
    for part, tones in (("light", DAY), ("dark", NIGHT)):
        assert settings[part]["backgroundColor"] == tones.paper
        assert settings[part]["secondaryBackgroundColor"] == tones.wash
        assert settings[part]["textColor"] == tones.ink
        assert settings[part]["primaryColor"] == tones.sea
        assert settings[part]["borderColor"] == tones.line


def test_the_specification_can_be_sent_as_json():
    assert json.loads(json.dumps(dressed(a_chart())))["autosize"]["type"] == "fit-x"
