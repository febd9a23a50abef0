"""Depths, limits, speeds and bending of planned passes, against formulas worked out anew with scipy."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from scipy import integrate, optimize

from planning.parts import BUSH, FACE, NAMED, PIN, PIN_HELD, SHOP, SMALL_LATHE, SPACER, Fields, part_of, valid_parts
from planning.test_planner import plan_of
from waytell.documents.config import Config, Machine, Tool
from waytell.documents.materials import Material
from waytell.documents.part import Part
from waytell.documents.plan import PlannedStep
from waytell.engine.section import Section
from waytell.planning.cautions import Reckoned
from waytell.planning.jobs import Job
from waytell.planning.loads import Bench
from waytell.planning.materials import find
from waytell.planning.planner import Planner
from waytell.planning.progress import after, left_mm
from waytell.planning.schedule import deepest_of

DEPTHS = ("facing", "turning", "boring", "taper", "chamfer")
STRONG = Machine(motor_power_w=100_000, deepest_pass_mm=0.5)


def shop(**changes: object) -> Config:
    """An invented lathe and the usual tools; the lathe with something changed."""
    return Config(machine=SMALL_LATHE.model_copy(update=changes), tools=SHOP.tools)


def reckoned(part: Part, config: Config) -> list[tuple[Reckoned, Bench, PlannedStep]]:
    planner, made = Planner(part, config), plan_of(part, config)
    found = []
    for step in made.steps:
        one = planner.reckoned(step.number)
        assert one is not None
        found.append((*one, step))
    return found


# -- shares ------------------------------------------------------------------------------------------------------------


def assert_shared_out(part: Part, config: Config) -> None:
    for one, bench, step in reckoned(part, config):
        if one.job.kind not in DEPTHS or not step.passes:
            continue
        left = left_mm(one.job, one.before)
        deepest = deepest_of(one.job, one.means, one.before, bench).mm
        depths = [each.depth_mm for each in step.passes]
        assert sum(depths) == pytest.approx(left, abs=1e-9)
        assert max(depths) <= deepest + 0.005
        roughing = [each.depth_mm for each in step.passes if each.role == "roughing"]
        assert roughing == pytest.approx(roughing[:1] * len(roughing))
        # As few as the limit allows: one less would be too deep.
        if len(roughing) > 1:
            assert sum(roughing) / (len(roughing) - 1) > deepest
        assert step.passes[-1].at_mm == pytest.approx(one.job.target_mm, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(valid_parts())
def test_what_is_left_is_shared_out_into_passes_no_deeper_than_the_limit(part: Part) -> None:
    assert_shared_out(part, SHOP)


@pytest.mark.parametrize("part", NAMED.values(), ids=NAMED)
@pytest.mark.parametrize("deepest", [0.05, 0.25, 2.0])
def test_so_are_named_parts_whatever_the_person_allows(part: Part, deepest: float) -> None:
    assert_shared_out(part, shop(deepest_pass_mm=deepest))


def test_a_skim_comes_first_only_when_the_sawn_end_is_faced() -> None:
    for part in NAMED.values():
        for step in plan_of(part).steps:
            roles = [each.role for each in step.passes]
            skims = step.set_up == 1 and step.operation.kind == "facing"
            assert roles.count("skim") == int(skims)
            assert not skims or roles[0] == "skim"
            assert step.operation.free_first_pass == skims


def test_a_tenth_is_left_for_finishing_across_and_at_the_shoulder() -> None:
    steps = {step.operation.name: step for step in plan_of(BUSH).steps}
    rough, finish = steps["rough to 14.20"].operation, steps["turn 14 to 10"].operation
    # 14 in the middle of the general tolerance, the shoulder at 10.05.
    assert (rough.target_mm, rough.end_mm) == pytest.approx((7.1, -9.95))
    assert (finish.target_mm, finish.end_mm) == pytest.approx((7.0, -10.05))
    assert [each.depth_mm for each in steps["turn 14 to 10"].passes if each.role == "finish"] == pytest.approx([0.1])
    assert steps["bore 10 to 31"].passes[0].depth_mm == pytest.approx(0.1)
    assert steps["face"].passes[-1].depth_mm == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("size", "springs"),
    [
        # ISO 286-1: IT8 over 10 up to 18 mm is 27 micrometres, IT9 is 43.
        ({"mm": 16.0, "tolerance_class": "h8"}, True),
        ({"mm": 16.0, "tolerance_class": "h9"}, False),
        ({"mm": 16.0, "tolerance_class": "h6"}, True),
        ({"mm": 16.0, "upper_mm": 0.027, "lower_mm": 0.0}, True),
        ({"mm": 16.0, "upper_mm": 0.028, "lower_mm": 0.0}, False),
        (16.0, False),
    ],
)
def test_a_spring_pass_follows_where_the_limits_are_it8_or_finer(size: object, springs: bool) -> None:
    step = plan_of(part_of([FACE, {"kind": "turned", "diameter": size, "to": 20.0}])).steps[-1]
    assert ("spring" in [each.role for each in step.passes]) == springs
    if springs:
        assert step.passes[-1].at_mm == pytest.approx(step.passes[-2].at_mm)
        assert (step.passes[-1].depth_mm, step.passes[-1].force_n) == (0.0, 0.0)


def test_boring_and_the_edge_of_a_bore_are_cut_outwards_all_else_inwards() -> None:
    for part in NAMED.values():
        for step in plan_of(part).steps:
            at = [each.at_mm for each in step.passes if each.depth_mm > 0]
            if step.operation.kind not in DEPTHS or len(at) < 2:
                continue
            outwards = step.operation.kind == "boring" or "inside" in step.words
            assert at == sorted(at, reverse=not outwards)
    (edge,) = [step for step in plan_of(SPACER).steps if "inside" in step.words]
    # From the bore of H8 13 in the middle of its limits, 13.0135, outwards by 0.3.
    assert edge.passes[-1].at_mm == pytest.approx(13.0135 / 2 + 0.3)


# -- limits ------------------------------------------------------------------------------------------------------------


def chord_rad(edge: Tool, depth: float, feed: float) -> float:
    """Angle of the edge that cuts, one straight line from half a feed behind the lowest point of the nose."""
    r, kappa = edge.nose_radius_mm, math.radians(edge.approach_angle_deg)
    arc = r * (1 - math.cos(kappa))
    ahead = r * math.sin(kappa) + (depth - arc) / math.tan(kappa)
    if depth < arc:
        ahead = r * math.sin(math.acos(1 - depth / r))
    return math.atan2(depth - (r - math.sqrt(r**2 - (feed / 2) ** 2)), ahead + feed / 2)


def chip_force_n(material: Material, edge: Tool, depth: float, feed: float) -> float:
    """Kienzle with the mean thickness of the chip along that line."""
    thick = feed * math.sin(chord_rad(edge, depth, feed))
    return material.kc11_n_mm2.value * math.pow(thick, -material.mc.value) * depth * feed


def pushed_n(material: Material, edge: Tool, depth: float, feed: float) -> float:
    """Half of the cutting force stands square on that line; of it the part across."""
    share = max(0.1, 0.5 * math.cos(chord_rad(edge, depth, feed)))
    return share * chip_force_n(material, edge, depth, feed)


def give_mm_n(radii: Callable[[float], tuple[float, float]], at: float, gpa: float, corners: Sequence[float]) -> float:
    """Cantilever of changing section: the integral of (a - z)^2 / (E I), by quadrature."""
    value, _ = integrate.quad(
        lambda z: (at - z) ** 2 / (1000 * gpa * math.pi / 4 * (radii(z)[0] ** 4 - radii(z)[1] ** 4)), 0.0, at,
        points=[c for c in corners if 0 < c < at] or None, limit=200,
    )  # fmt: skip
    return float(value)


def held_give_mm_n(section: Section, at: float, gpa: float) -> float:
    """Clamp and centre: superposition of the load and the reaction that keeps the far end where it is."""
    length = section.front_mm - section.chuck_mm
    corners = [z - section.chuck_mm for z in (*section.outside.z, *section.bore.z)]

    def flexibility(a: float, b: float) -> float:
        def bent(z: float) -> float:
            inertia = math.pi / 4 * (section.radius_at(section.chuck_mm + z + 1e-9) ** 4)
            return (a - z) * (b - z) / (1000 * gpa * inertia)

        return float(integrate.quad(bent, 0, min(a, b), points=[c for c in corners if 0 < c < min(a, b)] or None)[0])

    return flexibility(at, at) - flexibility(at, length) ** 2 / flexibility(length, length)


def section_give(section: Section, at_z: float, gpa: float) -> float:
    chuck = section.chuck_mm
    corners = [z - chuck for z in (*section.outside.z, *section.bore.z)]
    return give_mm_n(
        lambda z: (section.radius_at(chuck + z + 1e-9), section.bore_at(chuck + z + 1e-9)), at_z - chuck, gpa, corners
    )


def step_called(part: Part, config: Config, name: str) -> tuple[Reckoned, Bench, PlannedStep]:
    return next(found for found in reckoned(part, config) if found[2].operation.name == name)


SLENDER: list[Fields] = [FACE, {"kind": "turned", "diameter": 6.0, "to": 40.0}]
SLENDER_BAR: Fields = {"bar": {"diameter_mm": 12.0}, "set_ups": [{"out_mm": 60.0}], "material": "mild steel"}


def test_the_persons_own_limit_decides_where_nothing_else_is_tighter() -> None:
    _, _, step = step_called(BUSH, shop(motor_power_w=2000.0, deepest_pass_mm=0.2), "rough to 14.20")
    assert {each.limit for each in step.passes} == {"operator"}
    assert "0.2 mm" in step.decided_by


def test_the_tool_decides_where_it_bears_less() -> None:
    tools = (Tool(name="brittle", nose_radius_mm=0.4, deepest_mm=0.15), *SHOP.tools)
    _, _, step = step_called(BUSH, Config(machine=SMALL_LATHE, tools=tools), "rough to 14.20")
    assert {each.limit for each in step.passes} == {"tool"}
    assert "0.15 mm is the deepest that brittle bears" in step.decided_by


def test_the_motor_decides_where_it_is_weak() -> None:
    config = shop(motor_power_w=60.0, deepest_pass_mm=2.0)
    one, bench, step = step_called(
        part_of([FACE, {"kind": "turned", "diameter": 14.0, "to": 10.0}]), config, "rough to 14.20"
    )
    assert {each.limit for each in step.passes} == {"power"}
    deepest = deepest_of(one.job, one.means, one.before, bench)
    # P = F v_c / eta: at that depth it is the motor's.
    force = chip_force_n(bench.material, one.means.edge, deepest.mm, one.means.feed_mm_rev)
    assert force * one.means.speed.vc_m_min / 60 / 0.75 == pytest.approx(60.0, rel=2e-3)
    assert all(each.power_w <= 60.0 for each in step.passes)
    assert f"45 W at the edge allow {deepest.mm:.2f} mm" in step.decided_by


def test_bending_decides_where_the_work_is_slender() -> None:
    one, bench, step = step_called(part_of(SLENDER, **SLENDER_BAR), shop(), "rough to 6.20")
    assert {each.limit for each in step.passes} == {"deflection"}
    deepest = deepest_of(one.job, one.means, one.before, bench).mm
    gives = section_give(after(one.job, one.before), 0.0, bench.material.modulus_gpa.value)
    edge, feed = one.means.edge, one.means.feed_mm_rev
    # Roughing may be pushed off by half of what is left for finishing: 0.05 mm.
    wanted = optimize.brentq(lambda depth: pushed_n(bench.material, edge, depth, feed) * gives - 0.05, 0.05, 2.0)
    assert deepest == pytest.approx(wanted, abs=2e-4)


@settings(max_examples=25, deadline=None)
@given(valid_parts())
def test_the_tightest_limit_is_the_one_that_decides(part: Part) -> None:
    for one, bench, step in reckoned(part, shop(deepest_pass_mm=2.0, motor_power_w=150.0)):
        if one.job.kind not in ("facing", "turning") or not step.passes:
            continue
        edge, feed, material = one.means.edge, one.means.feed_mm_rev, bench.material
        deepest = deepest_of(one.job, one.means, one.before, bench)
        force = chip_force_n(material, edge, deepest.mm, feed)
        reached = {"operator": deepest.mm / 2.0, "power": force * one.means.speed.vc_m_min / 60 / (150 * 0.75)}
        if one.job.kind == "turning":
            gives = section_give(after(one.job, one.before), one.job.start_mm, material.modulus_gpa.value)
            reached["deflection"] = pushed_n(material, edge, deepest.mm, feed) * gives / 0.05
        if deepest.mm > 0.1 + 1e-9:
            assert max(reached.values()) == pytest.approx(1.0, abs=5e-3)
            assert reached[deepest.limit] == pytest.approx(1.0, abs=5e-3)
        else:
            # No lighter than a tenth is planned; a caution says that it is too much.
            assert max(reached.values()) > 1 - 5e-3


# -- loads -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("part", [BUSH, PIN], ids=lambda part: part.name)
def test_force_power_and_bending_of_each_pass_are_those_of_the_section_at_that_moment(part: Part) -> None:
    for one, bench, step in reckoned(part, SHOP):
        if one.job.kind != "turning":
            continue
        now, edge, feed = one.before, one.means.edge, one.means.feed_mm_rev
        for each in step.passes:
            if each.depth_mm == 0:
                continue
            now = after(one.job, now, each.at_mm)
            assert each.force_n == pytest.approx(chip_force_n(bench.material, edge, each.depth_mm, feed), rel=1e-6)
            assert each.power_w == pytest.approx(each.force_n * one.means.speed.vc_m_min / 60 / 0.75)
            gives = section_give(now, one.job.start_mm, bench.material.modulus_gpa.value)
            wanted = pushed_n(bench.material, edge, each.depth_mm, feed) * gives
            assert each.deflection_mm == pytest.approx(wanted, rel=1e-6)


def test_work_that_grows_thinner_gives_way_more() -> None:
    _, _, step = step_called(PIN, SHOP, "rough to 6.19")
    pushed = [each.deflection_mm for each in step.passes]
    assert pushed == sorted(pushed)
    assert pushed[-1] > 2 * pushed[0]


def test_a_centre_in_the_tailstock_stiffens_the_work() -> None:
    alone = step_called(PIN, SHOP, "rough to 6.19")[2]
    one, bench, held = step_called(PIN_HELD, SHOP, "rough to 6.19")
    assert len(held.passes) < len(alone.passes)
    now = after(one.job, one.before, held.passes[0].at_mm)
    push = pushed_n(bench.material, one.means.edge, held.passes[0].depth_mm, one.means.feed_mm_rev)
    middle = (one.job.start_mm + one.job.end_mm) / 2
    gpa = bench.material.modulus_gpa.value
    worst = max(held_give_mm_n(now, place - now.chuck_mm, gpa) for place in (one.job.end_mm, middle))
    assert held.passes[0].deflection_mm == pytest.approx(push * worst, rel=1e-6)


def test_inside_it_is_the_boring_bar_that_bends() -> None:
    one, bench, step = step_called(BUSH, SHOP, "rough bore to 9.81")
    assert one.means.edge.shank_mm == 8.0
    # F l^3 / (3 E I) of a steel bar of 8 mm that reaches 1 mm more than the cut is deep.
    inertia = math.pi * 8.0**4 / 64
    gives = (-one.job.end_mm + 1.0) ** 3 / (3 * 200_000 * inertia)
    push = pushed_n(bench.material, one.means.edge, step.passes[0].depth_mm, one.means.feed_mm_rev)
    assert step.passes[0].deflection_mm == pytest.approx(push * gives, rel=1e-6)


def test_a_last_cut_is_lighter_where_that_keeps_the_size() -> None:
    def finishing(length_mm: float) -> tuple[Reckoned, Bench, PlannedStep]:
        part = part_of(
            [FACE, {"kind": "turned", "diameter": {"mm": 6.0, "tolerance_class": "h8"}, "to": length_mm}],
            bar={"diameter_mm": 10.0}, set_ups=[{"out_mm": length_mm + 10}], material="mild steel",
        )  # fmt: skip
        return step_called(part, SHOP, f"turn 6 to {length_mm:g}")

    def pushed_mm(one: Reckoned, bench: Bench, depth: float) -> float:
        gives = section_give(one.after, 0.0, bench.material.modulus_gpa.value)
        return gives * pushed_n(bench.material, one.means.edge, depth, one.means.feed_mm_rev)

    # IT8 over 3 up to 6 mm is 18 micrometres; an eighth of it is what finishing may be pushed off.
    one, bench, step = finishing(24.0)
    assert [each.role for each in step.passes] == ["roughing", "finish", "spring"]
    last = step.passes[1]
    assert last.depth_mm == pytest.approx(0.05)
    assert pushed_mm(one, bench, 0.05) < 0.018 / 8 < pushed_mm(one, bench, 0.1)
    assert last.limit == "deflection"
    assert "last cut is 0.05 mm" in step.decided_by
    assert step.operation.finish_mm == last.depth_mm
    # Shorter work bears the whole tenth; for longer work no cut is light enough, and a caution says so.
    one, bench, step = finishing(18.0)
    assert [each.role for each in step.passes] == ["finish", "spring"]
    assert pushed_mm(one, bench, 0.1) < 0.018 / 8
    one, bench, step = finishing(34.0)
    assert [each.role for each in step.passes] == ["finish", "spring"]
    assert pushed_mm(one, bench, 0.03) > 0.018 / 8


def test_times_are_length_over_feed_and_speed() -> None:
    # T = L / (f n) (any maker's turning formulas), 1 mm of air before the metal.
    for _, _, step in reckoned(BUSH, SHOP):
        work = step.operation
        if work.kind in DEPTHS:
            length = abs(work.end_mm - work.start_mm) + 1.0
            wanted = 60 * length / (step.feed_mm_rev * step.speed.rpm)
            assert [each.time_s for each in step.passes] == pytest.approx([wanted] * len(step.passes))


# -- speeds ------------------------------------------------------------------------------------------------------------


def speed_of(config: Config, name: str = "rough to 14.20", part: Part = BUSH) -> PlannedStep:
    return step_called(part, config, name)[2]


def test_what_decided_the_speed_is_named() -> None:
    bronze, across = find("phosphor bronze"), 2 * 9.0932
    free = shop(speeds_rpm=(), spindle_max_rpm=3000.0)
    wanted = 1000 * bronze.hss.low_m_min / (math.pi * across)
    material = speed_of(free).speed
    assert material.limit == "material"
    assert material.rpm == pytest.approx(wanted, rel=1e-3)
    machine = speed_of(shop(speeds_rpm=(), spindle_max_rpm=200.0)).speed
    assert (machine.limit, machine.rpm) == ("machine", 200.0)
    chuck = speed_of(shop(speeds_rpm=(), chuck_max_rpm=150.0)).speed
    assert (chuck.limit, chuck.rpm) == ("chuck", 150.0)
    steps = speed_of(shop(speeds_rpm=(100.0, 180.0, 5000.0), spindle_max_rpm=5000.0)).speed
    assert (steps.limit, steps.rpm) == ("steps", 180.0)
    for one in (material, machine, chuck, steps):
        assert one.vc_m_min == pytest.approx(math.pi * across * one.rpm / 1000, rel=1e-3)
        assert one.words


def test_roughing_takes_the_low_end_finishing_the_middle_blades_half() -> None:
    free = shop(speeds_rpm=(), spindle_max_rpm=9000.0)
    bronze = find("phosphor bronze").hss
    assert speed_of(free).speed.vc_m_min == pytest.approx(bronze.low_m_min)
    finish = speed_of(free, "turn 14 to 10").speed.vc_m_min
    assert finish == pytest.approx((bronze.low_m_min + bronze.high_m_min) / 2)
    assert speed_of(free, "part off at 30.5").speed.vc_m_min == pytest.approx(bronze.low_m_min / 2)


def test_carbide_goes_faster_and_the_shoulder_does_not_slow_the_finish() -> None:
    free = shop(speeds_rpm=(), spindle_max_rpm=9000.0)
    carbide = Tool(name="carbide", substance="carbide", nose_radius_mm=0.4)
    bronze = find("phosphor bronze").carbide
    fast = Config(machine=free.machine, tools=(carbide, *free.tools))
    assert speed_of(fast).speed.vc_m_min == pytest.approx(bronze.low_m_min)
    # 14.2 is turned there, though the last tenth before the shoulder is thicker.
    finish = speed_of(free, "turn 14 to 10").speed
    assert finish.vc_m_min == pytest.approx(math.pi * 14.2 * finish.rpm / 1000, rel=1e-6)


def test_feeds_lie_within_what_the_material_and_a_hand_bear() -> None:
    bronze = find("phosphor bronze")
    for step in plan_of(BUSH).steps:
        feed, kind = step.feed_mm_rev, step.operation.kind
        if kind == "drilling":
            assert 0.02 <= feed <= 0.15
        elif kind in ("grooving", "parting"):
            assert feed == pytest.approx(bronze.feed_low_mm_rev / 2)
        elif step.operation.name.startswith("rough"):
            assert feed == pytest.approx((bronze.feed_low_mm_rev + bronze.feed_high_mm_rev) / 2)
        else:
            assert feed == pytest.approx(bronze.feed_low_mm_rev)
        if step.ra_um is not None:
            # R_a = f^2 / (18 sqrt 3 r) (exact for parabolic grooves).
            nose = next(tool.nose_radius_mm for tool in SHOP.tools if tool.name == step.tool)
            assert step.ra_um == pytest.approx(1000 * feed**2 / (18 * math.sqrt(3) * nose))


def test_no_job_of_the_random_parts_ends_where_it_begins() -> None:
    def sound(job: Job) -> bool:
        return job.start_mm != job.end_mm and math.isfinite(job.target_mm)

    for part in NAMED.values():
        assert all(sound(job) for jobs in Planner(part, SHOP).jobs for job in jobs)
