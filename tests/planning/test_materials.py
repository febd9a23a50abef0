"""Materials: published values, ranges that hold together, and finding one by its name."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from waytell.documents.materials import Material
from waytell.planning.materials import MATERIALS, UnknownMaterial, find


def changed(name: str, /, **fields: Any) -> dict[str, Any]:
    return find(name).model_dump() | fields


# Density of metals, simetric.co.uk; Materials-Properties-Database (ar.scribd.com/document/372037000), kg/m3.
DENSITIES = [
    ("mild steel", 7850, 7870),
    ("stainless steel, austenitic", 7480, 8000),
    ("grey cast iron", 6800, 7800),
    ("brass, free-cutting", 8430, 8730),
    ("phosphor bronze", 8780, 8920),
    ("aluminium alloy", 2560, 2800),
    ("copper", 8890, 8930),
    ("titanium alloy", 4400, 4500),
    ("acetal", 1410, 1420),
]
# Multimedia Engineering Mechanics, Material Properties, and Elements of Metric Gear Technology, table 18-10: million
# psi; acetal and nylon from engineersedge.com, Properties of Plastic Materials.
MODULI_MPSI = [
    ("mild steel", 29, 30),
    ("alloy steel, annealed", 29, 30),
    ("stainless steel, austenitic", 28, 28),
    ("grey cast iron", 9, 23),
    ("aluminium alloy", 10, 10.6),
    ("brass, free-cutting", 14, 17),  # 97 GPa of C36000 is from memory
    ("phosphor bronze", 15, 18),
    ("copper", 16, 17),
    ("titanium alloy", 13, 17.5),
    ("acetal", 0.31, 0.437),
    ("nylon", 0.38, 0.40),
]
# NIST (Swyt 1994), warmglass.com after TC 9-237, and Properties of Selected Engineering Materials, table B.6.
EXPANSIONS = [
    ("mild steel", 11.2, 11.8),
    ("medium carbon steel", 11.2, 11.5),
    ("stainless steel, austenitic", 17.1, 17.3),
    ("grey cast iron", 10.8, 10.8),
    ("aluminium alloy", 23.1, 24.8),
    ("brass, free-cutting", 19, 21.2),
    ("phosphor bronze", 18, 18),
    ("copper", 17, 17),
    ("acetal", 85, 106.5),
    ("titanium alloy", 8.6, 9.4),
]
# Iscar turning catalogue 2017, material groups to VDI 3323: group, kc1.1, mc.
FORCES = [
    ("free-cutting steel", 1350, 0.21),
    ("mild steel", 1350, 0.21),
    ("medium carbon steel", 1500, 0.22),
    ("alloy steel, annealed", 1775, 0.24),
    ("stainless steel, austenitic", 2150, 0.20),
    ("grey cast iron", 1150, 0.20),
    ("aluminium alloy", 800, 0.25),
    ("brass, free-cutting", 700, 0.27),
    ("copper", 700, 0.27),
    ("titanium alloy", 2110, 0.22),
]
# Nominal Tutorial Cutting Speeds and Feeds, high-speed steel; the upper limits of cholla.mmto.arizona.edu/machining
# for bronze (150 ft/min); cast iron from the historic 18 m/min (A Text-Book of Mechanical Engineering).
HSS = [
    ("aluminium alloy", 60, 150),
    ("brass, free-cutting", 45, 120),
    ("grey cast iron", 18, 30),
    ("mild steel", 25, 45),
    ("stainless steel, austenitic", 9, 18),
    ("acetal", 9, 120),
    ("nylon", 9, 120),
    ("phosphor bronze", 11, 46),
]


@pytest.mark.parametrize(("name", "least", "most"), DENSITIES)
def test_densities_lie_in_published_ranges(name: str, least: float, most: float) -> None:
    assert least <= find(name).density_kg_m3.value <= most


@pytest.mark.parametrize(("name", "least", "most"), MODULI_MPSI)
def test_moduli_lie_in_published_ranges(name: str, least: float, most: float) -> None:
    assert least * 0.99 <= find(name).modulus_gpa.value / 6.894757 <= most * 1.01


@pytest.mark.parametrize(("name", "least", "most"), EXPANSIONS)
def test_expansions_lie_in_published_ranges(name: str, least: float, most: float) -> None:
    assert least <= find(name).expansion_um_m_k.value <= most


@pytest.mark.parametrize(("name", "kc11", "mc"), FORCES)
def test_cutting_forces_are_the_published_ones(name: str, kc11: float, mc: float) -> None:
    material = find(name)
    assert (material.kc11_n_mm2.value, material.mc.value) == (kc11, mc)


@pytest.mark.parametrize(("name", "least", "most"), HSS)
def test_speeds_lie_in_published_ranges(name: str, least: float, most: float) -> None:
    hss = find(name).hss
    assert least <= hss.low_m_min < hss.high_m_min <= most


@pytest.mark.parametrize("material", MATERIALS, ids=lambda material: material.name)
def test_carbide_goes_two_to_seven_times_as_fast(material: Material) -> None:
    # Nominal Tutorial Cutting Speeds and Feeds: 3 to 6 times high-speed steel; here ends are rounded.
    assert 2 <= material.carbide.low_m_min / material.hss.low_m_min <= 7
    assert 2 <= material.carbide.high_m_min / material.hss.high_m_min <= 7


def test_acetal_with_carbide_is_slower_than_production() -> None:
    # Plastic Turning Machining Guidelines: 980 to 1960 ft/min and 0.004 to 0.015 in for acetal in production.
    acetal = find("acetal")
    assert acetal.carbide.high_m_min <= 1960 * 0.3048
    assert acetal.feed_low_mm_rev >= 0.1  # its 0.004 in, rounded
    assert acetal.feed_high_mm_rev <= 0.015 * 25.4


def test_each_material_has_a_name_of_its_own() -> None:
    assert len({material.name.casefold() for material in MATERIALS}) == len(MATERIALS)


def test_capitals_and_spaces_do_not_matter() -> None:
    assert find(" Phosphor BRONZE ") is find("phosphor bronze")


def test_the_persons_own_comes_first() -> None:
    own = Material.model_validate(changed("mild steel", name="Mild Steel", note="from the scrap bin"))
    assert find("mild steel", (own,)).note == "from the scrap bin"
    assert find("copper", (own,)).name == "copper"


def test_what_is_not_known_is_said_with_what_is() -> None:
    own = Material.model_validate(changed("mild steel", name="bed frame"))
    with pytest.raises(UnknownMaterial, match=r'"unobtainium".*bed frame.*mild steel.*titanium alloy'):
        find("unobtainium", (own,))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"density_kg_m3": {"value": 7.85, "source": "a slip"}}, "density_kg_m3 of mild steel is 7.85"),
        ({"modulus_gpa": {"value": 200_000, "source": "a slip"}}, "between 0.1 and 1000 GPa"),
        ({"mc": {"value": 21, "source": "a slip"}}, "mc of mild steel is 21"),
        ({"hss": {"low_m_min": 40, "high_m_min": 30, "source": "a slip"}}, "low_m_min 40 must not be above"),
        ({"feed_low_mm_rev": 0.3}, "feed_low_mm_rev 0.3 of mild steel must not be above feed_high_mm_rev 0.2"),
        ({"kc11_n_mm2": {"value": 1350}}, "source"),
        ({"kc11_n_mm2": {"value": 1350, "source": ""}}, "source"),
        ({"colour": "grey"}, "colour"),
    ],
)
def test_slips_are_refused_in_clear_words(fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        Material.model_validate(changed("mild steel", **fields))


def test_a_material_goes_through_json_unchanged() -> None:
    for material in MATERIALS:
        assert Material.model_validate_json(material.model_dump_json()) == material
