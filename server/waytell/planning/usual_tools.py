"""Tools that a home workshop usually has, as a beginning for the person's own table: generic, of no maker."""

from __future__ import annotations

from waytell.documents.config import Tool

# Sizes are common practice, without a source.
USUAL_TOOLS: tuple[Tool, ...] = (
    Tool(name="right-hand tool", nose_radius_mm=0.4),
    Tool(name="finishing tool", nose_radius_mm=0.2),
    Tool(name="left-hand tool", hand="left", nose_radius_mm=0.4),
    Tool(name="carbide tool", substance="carbide", nose_radius_mm=0.4, deepest_mm=1.0),
    Tool(name="boring bar 6", kind="boring", nose_radius_mm=0.2, shank_mm=6.0, reach_mm=24.0, deepest_mm=0.3),
    Tool(name="boring bar 8", kind="boring", nose_radius_mm=0.2, shank_mm=8.0, reach_mm=32.0, deepest_mm=0.5),
    Tool(name="parting blade 2", kind="grooving", width_mm=2.0, reach_mm=16.0),
    *(
        Tool(name=f"drill {size:g}", kind="drill", diameter_mm=size, point_angle_deg=118.0, reach_mm=reach)
        for size, reach in (
            (3.0, 33.0),
            (5.0, 52.0),
            (6.0, 57.0),
            (8.0, 75.0),
            (9.5, 81.0),
            (10.0, 87.0),
            (12.0, 101.0),
        )
    ),
)
