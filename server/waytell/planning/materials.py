"""Materials as a beginner meets them, generic ones without a maker, and how to find one by its name.

Start values: the person's own entry of the same name comes first. Cutting forces of two published tables differ by up
to 40 %, speeds by a factor of two.
"""

from __future__ import annotations

from collections.abc import Sequence

from waytell.documents.materials import Material, Sourced, SpeedRange

MEMORY = "from memory"
PRACTICE = "common practice, no source"
GROUPS = "material groups of VDI 3323 with kc1.1 and mc, turning catalogue of 2017"
DENSITIES = "Important Properties of Selected Engineering Materials"
METALS = "Density of metals, table of simetric.co.uk"
APPENDIX = "Multimedia Engineering Mechanics, appendix Material Properties"
TEXTBOOK = "Properties of Selected Engineering Materials, table B.6"
GEARS = "Elements of Metric Gear Technology, table 18-10"
PLASTICS = "Typical Engineering Properties of Plastics Materials"
TUTORIAL = "Nominal Tutorial Cutting Speeds and Feeds"
REFERENCE = "Machine Tool Fundamentals Quick Reference"
THRICE = f"3 to 4 times high-speed steel; {TUTORIAL} gives 3 to 6"
PLASTIC_FEED = "Plastic Turning Machining Guidelines: 0.10 to 0.38 mm, upper end lowered for a hand-wound slide"

# A hand does not keep a feed as a lead screw does: the middle of what is wound counts.
HAND_FEED = (0.05, 0.2)

MATERIALS: tuple[Material, ...] = (
    Material(
        name="free-cutting steel",
        density_kg_m3=Sourced(value=7850, source=f"rolled steel, {METALS}"),
        modulus_gpa=Sourced(value=200, source=f"29 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=11.5, source="steel, J. Res. NIST 99, 31 (1994)"),
        kc11_n_mm2=Sourced(value=1350, source=f"group 1, {GROUPS}"),
        mc=Sourced(value=0.21, source=f"group 1, {GROUPS}"),
        hss=SpeedRange(low_m_min=30, high_m_min=50, source=MEMORY),
        carbide=SpeedRange(low_m_min=100, high_m_min=200, source=MEMORY),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Short chips and a good finish; not for welding.",
    ),
    Material(
        name="mild steel",
        density_kg_m3=Sourced(value=7870, source=f"1020, {DENSITIES}"),
        modulus_gpa=Sourced(value=200, source=f"A36, 29 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=11.7, source=f"A36, 6.5e-6 per degree F, {APPENDIX}"),
        kc11_n_mm2=Sourced(value=1350, source=f"group 1, {GROUPS}"),
        mc=Sourced(value=0.21, source=f"group 1, {GROUPS}"),
        hss=SpeedRange(low_m_min=25, high_m_min=35, source=f"within 25 to 45, {TUTORIAL}"),
        carbide=SpeedRange(low_m_min=90, high_m_min=150, source=f"300 to 500 ft/min, {REFERENCE}"),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Tears at low speed: a sharp tool, oil and a little more speed give a better finish.",
    ),
    Material(
        name="medium carbon steel",
        density_kg_m3=Sourced(value=7845, source=f"1040, {DENSITIES}"),
        modulus_gpa=Sourced(value=200, source=f"29 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=11.5, source="AISI 1050, NIST Engineering Metrology Toolbox, temperature"),
        kc11_n_mm2=Sourced(value=1500, source=f"group 2, {GROUPS}"),
        mc=Sourced(value=0.22, source=f"group 2, {GROUPS}"),
        hss=SpeedRange(low_m_min=21, high_m_min=27, source=f"70 to 90 ft/min, {REFERENCE}"),
        carbide=SpeedRange(low_m_min=76, high_m_min=120, source=f"250 to 400 ft/min, {REFERENCE}"),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
    ),
    Material(
        name="alloy steel, annealed",
        density_kg_m3=Sourced(value=7850, source=f"4140, {DENSITIES}"),
        modulus_gpa=Sourced(value=200, source=f"AISI 4140, 29 million psi, {GEARS}"),
        expansion_um_m_k=Sourced(value=11.2, source=f"AISI 4140, 6.2e-6 per degree F, {GEARS}"),
        kc11_n_mm2=Sourced(value=1775, source=f"group 6, {GROUPS}"),
        mc=Sourced(value=0.24, source=f"group 6, {GROUPS}"),
        hss=SpeedRange(low_m_min=15, high_m_min=24, source=f"60 to 80 ft/min, {REFERENCE}; low end from memory"),
        carbide=SpeedRange(low_m_min=60, high_m_min=105, source=f"200 to 350 ft/min, {REFERENCE}"),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
    ),
    Material(
        name="stainless steel, austenitic",
        density_kg_m3=Sourced(value=8000, source=f"316, {DENSITIES}"),
        modulus_gpa=Sourced(value=193, source=f"AISI 302, 28 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(
            value=17.1, source=f"AISI 302, 9.6e-6 per degree F is 17.3, {APPENDIX}; TC 9-237 17.1"
        ),
        kc11_n_mm2=Sourced(value=2150, source=f"group 14, {GROUPS}"),
        mc=Sourced(value=0.20, source=f"group 14, {GROUPS}"),
        hss=SpeedRange(low_m_min=9, high_m_min=18, source=TUTORIAL),
        carbide=SpeedRange(low_m_min=45, high_m_min=75, source=f"150 to 250 ft/min, {REFERENCE}"),
        feed_low_mm_rev=0.08,
        feed_high_mm_rev=0.2,
        feed_source=PRACTICE,
        note="Hardens where a tool rubs: keep the feed up and never dwell in the cut.",
    ),
    Material(
        name="grey cast iron",
        density_kg_m3=Sourced(value=7150, source=f"class 20 and 35, {DENSITIES}"),
        modulus_gpa=Sourced(value=100, source=f"62 to 159 by grade, {GEARS}; 100 from memory"),
        expansion_um_m_k=Sourced(value=10.8, source=f"6.0e-6 per degree F, {GEARS}"),
        kc11_n_mm2=Sourced(value=1150, source=f"group 15, {GROUPS}"),
        mc=Sourced(value=0.20, source=f"group 15, {GROUPS}"),
        hss=SpeedRange(low_m_min=18, high_m_min=25, source=f"{TUTORIAL} 22 to 30, older textbooks 18"),
        carbide=SpeedRange(low_m_min=76, high_m_min=120, source=f"250 to 400 ft/min, {REFERENCE}"),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Dry. The first cut goes below the hard skin; its dust wears slides, so cover them and clean up.",
    ),
    Material(
        name="aluminium alloy",
        density_kg_m3=Sourced(value=2700, source=f"6061, {DENSITIES}"),
        modulus_gpa=Sourced(value=69, source=f"6061-T6, 10.0 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=23.6, source=f"6061, {TEXTBOOK}"),
        kc11_n_mm2=Sourced(value=800, source=f"group 22, cured, {GROUPS}"),
        mc=Sourced(value=0.25, source=f"group 22, cured, {GROUPS}"),
        hss=SpeedRange(low_m_min=60, high_m_min=150, source=TUTORIAL),
        carbide=SpeedRange(low_m_min=180, high_m_min=450, source=THRICE),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Builds up on the edge: a sharp polished tool and a drop of paraffin.",
    ),
    Material(
        name="brass, free-cutting",
        density_kg_m3=Sourced(value=8500, source=f"C36000, {DENSITIES}"),
        modulus_gpa=Sourced(value=97, source="C36000, from memory; other brasses 103 to 110"),
        expansion_um_m_k=Sourced(value=20.5, source=f"C36000, {TEXTBOOK}"),
        kc11_n_mm2=Sourced(value=700, source=f"group 26, {GROUPS}"),
        mc=Sourced(value=0.27, source=f"group 26, {GROUPS}"),
        hss=SpeedRange(low_m_min=45, high_m_min=120, source=TUTORIAL),
        carbide=SpeedRange(low_m_min=150, high_m_min=240, source=f"500 to 800 ft/min, {REFERENCE}"),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="A tool with top rake digs in: rake of nought. Needle chips fly, so keep the eyes covered.",
    ),
    Material(
        name="phosphor bronze",
        density_kg_m3=Sourced(value=8850, source=f"8780 to 8920, {METALS}"),
        modulus_gpa=Sourced(value=110, source="C51000, from memory; bronzes 117 to 124 in Metric Gear Technology"),
        expansion_um_m_k=Sourced(value=18.0, source=f"bearing bronze C93200, {TEXTBOOK}"),
        kc11_n_mm2=Sourced(value=700, source=f"group 28, {GROUPS}; that bronze belongs there is from memory"),
        mc=Sourced(value=0.27, source=f"group 28, {GROUPS}; that bronze belongs there is from memory"),
        hss=SpeedRange(low_m_min=20, high_m_min=35, source=f"from memory; {REFERENCE} 30 to 46 for bronze"),
        carbide=SpeedRange(low_m_min=60, high_m_min=120, source=THRICE),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Springy and hard on tools; drills and reamers grab and the hole closes as it warms.",
    ),
    Material(
        name="copper",
        density_kg_m3=Sourced(value=8930, source=METALS),
        modulus_gpa=Sourced(value=110, source=f"CDA 145, 16 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=17.0, source=f"C11000, {TEXTBOOK}"),
        kc11_n_mm2=Sourced(value=700, source=f"group 28, {GROUPS}"),
        mc=Sourced(value=0.27, source=f"group 28, {GROUPS}"),
        hss=SpeedRange(low_m_min=20, high_m_min=40, source=MEMORY),
        carbide=SpeedRange(low_m_min=60, high_m_min=160, source=THRICE),
        feed_low_mm_rev=HAND_FEED[0],
        feed_high_mm_rev=HAND_FEED[1],
        feed_source=PRACTICE,
        note="Tough and sticky: much rake, a keen edge; long chips.",
    ),
    Material(
        name="acetal",
        density_kg_m3=Sourced(value=1410, source="Engineering Plastics Handbook, table 5.5"),
        modulus_gpa=Sourced(value=2.8, source="between 2.5 and 3.0, Engineering Plastics Handbook, table 5.5"),
        expansion_um_m_k=Sourced(value=105, source=f"homopolymer, 58e-6 per degree F, {PLASTICS}"),
        kc11_n_mm2=Sourced(value=150, source=f"{MEMORY}, rough"),
        mc=Sourced(value=0.2, source=f"{MEMORY}, rough"),
        hss=SpeedRange(low_m_min=60, high_m_min=120, source=f"200 to 400 ft/min, {REFERENCE}"),
        carbide=SpeedRange(low_m_min=150, high_m_min=300, source=f"500 to 1000 ft/min, {REFERENCE}"),
        feed_low_mm_rev=0.1,
        feed_high_mm_rev=0.25,
        feed_source=PLASTIC_FEED,
        note="Bends easily and grows with warmth: let it cool before measuring.",
    ),
    Material(
        name="nylon",
        density_kg_m3=Sourced(value=1140, source=f"nylon 6/6, {PLASTICS}"),
        modulus_gpa=Sourced(value=2.7, source=f"nylon 6/6, 390 thousand psi, dry, {PLASTICS}"),
        expansion_um_m_k=Sourced(value=81, source=f"nylon 6/6, 45e-6 per degree F, {PLASTICS}"),
        kc11_n_mm2=Sourced(value=150, source=f"{MEMORY}, rough"),
        mc=Sourced(value=0.2, source=f"{MEMORY}, rough"),
        hss=SpeedRange(low_m_min=60, high_m_min=120, source=f"plastics 200 to 400 ft/min, {REFERENCE}"),
        carbide=SpeedRange(low_m_min=150, high_m_min=300, source=f"plastics 500 to 1000 ft/min, {REFERENCE}"),
        feed_low_mm_rev=0.1,
        feed_high_mm_rev=0.25,
        feed_source=PLASTIC_FEED,
        note="Takes up water and grows; moist it bends twice as far. Stringy chips: stop to clear them.",
    ),
    Material(
        name="titanium alloy",
        density_kg_m3=Sourced(value=4480, source=f"6 % Al, 4 % V, 8.7 slug/ft3, {APPENDIX}"),
        modulus_gpa=Sourced(value=114, source=f"6 % Al, 4 % V, 16.5 million psi, {APPENDIX}"),
        expansion_um_m_k=Sourced(value=8.6, source=f"Ti-6Al-4V, {TEXTBOOK}"),
        kc11_n_mm2=Sourced(value=2110, source=f"group 37, {GROUPS}"),
        mc=Sourced(value=0.22, source=f"group 37, {GROUPS}"),
        hss=SpeedRange(low_m_min=8, high_m_min=15, source=MEMORY),
        carbide=SpeedRange(low_m_min=30, high_m_min=60, source=MEMORY),
        feed_low_mm_rev=0.08,
        feed_high_mm_rev=0.2,
        feed_source=PRACTICE,
        note="Fine chips burn and water makes it worse: a sharp tool, no rubbing, dry sand at hand.",
    ),
)


class UnknownMaterial(ValueError):  # noqa: N818 - it says what is the matter, as the other errors do
    """There is no material of that name; the words name those there are."""


def known_materials(own: Sequence[Material] = ()) -> tuple[Material, ...]:
    """The person's own, then the general ones that none of them replaces."""
    replaced = {material.name.casefold() for material in own}
    return (*own, *(material for material in MATERIALS if material.name.casefold() not in replaced))


def find(name: str, own: Sequence[Material] = ()) -> Material:
    """The material of a name, whatever its capitals, or the only one in whose name it stands.

    The person's own entries come before the general ones.

    Raises:
        UnknownMaterial: there is none of that name, or there are several.

    >>> find("Mild Steel").kc11_n_mm2.value
    1350.0
    >>> find("bronze").name
    'phosphor bronze'
    """
    wanted = name.strip().casefold()
    there = known_materials(own)
    for material in there:
        if material.name.casefold() == wanted:
            return material
    holding = [material for material in there if wanted in material.name.casefold()]
    if wanted and len(holding) == 1:
        return holding[0]
    known = [material.name for material in there]
    raise UnknownMaterial(f'no material is called "{name}"; choose one of these or add your own: {"; ".join(known)}')
