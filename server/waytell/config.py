"""Reads the configuration file: TOML, checked against the model, with errors that name the place and the remedy."""

from __future__ import annotations

import tomllib
from pathlib import Path

from pydantic import ValidationError

from waytell.documents.config import Config
from waytell.faults import in_words

EXAMPLE = """\
# Waytell configuration. Lengths in the unit that each name ends in.
# Check it with: waytell config check lathe.toml

[machine]
name = "lathe"
spindle_max_rpm = 2000.0
# chuck_max_rpm = 1800.0     # marked on the chuck
motor_power_w = 350.0
deepest_pass_mm = 0.5        # the deepest cut that you want to take
reaction_time_s = 0.3        # how long you take to stop winding
micrometer_u_um = 4.0        # your micrometer is sure to so many micrometres, 95 %
temperature_c = 20.0         # of scales and work; sizes are stated at 20 degrees

[board]
# source = "/dev/ttyUSB0"    # or COM5, socket://host:port, rfc2217://host:port
baud = 500000
# A board that prints lines of its own is read by a regular expression:
# line_pattern = 'X(?P<c0>-?[0-9.]+) Z(?P<c1>-?[0-9.]+)'
# line_scale = 1000.0        # where it prints millimetres and a count is a micrometre

# One table for each scale. channel: which of the board's scales, from 0.
# resolution_um: length of one count (a quarter of the line pitch).
# direction: 1 where counts grow as the tool goes away from the centre line or from the headstock, else -1.
[[scales]]
channel = 0
slide = "cross"              # cross, carriage or compound
resolution_um = 5.0
direction = 1
accuracy_um = 10.0           # error over its travel that it may have, until it is proved

[[scales]]
channel = 1
slide = "carriage"
resolution_um = 5.0
direction = 1
accuracy_um = 10.0

[compound]
angle_deg = 0.0              # from the Z axis; positive where winding in takes the tool to the centre line

[[tools]]
name = "right-hand tool"
nose_radius_mm = 0.4

# Other tools, as far as you have them; kind: turning, boring, grooving or drill.
# [[tools]]
# name = "boring bar 8"
# kind = "boring"
# nose_radius_mm = 0.2
# shank_mm = 8.0             # how thick it is behind the edge
# reach_mm = 32.0
#
# [[tools]]
# name = "parting blade 2"
# kind = "grooving"
# width_mm = 2.0
# reach_mm = 16.0
#
# [[tools]]
# name = "drill 9.5"
# kind = "drill"
# diameter_mm = 9.5

[hold]                       # a slide that should stand still
warning_mm = 0.01
limit_mm = 0.02

[units]
length = "mm"                # or inch
x_as = "diameter"            # or radius
"""


class ConfigError(Exception):
    """The file cannot be used; the message says where and what to do."""


def load_config(file: Path) -> Config:
    """The configuration in a file.

    Raises:
        ConfigError: missing, not TOML, or not a configuration.
    """
    try:
        # Some editors begin a file with a byte order mark.
        text = file.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise ConfigError(f"There is no {file}. Write one with: waytell config init {file}") from error
    except (OSError, UnicodeDecodeError) as error:
        raise ConfigError(f"{file} cannot be read: {error}. It must be a text file in UTF-8.") from error
    return parse_config(text, str(file))


def parse_config(text: str, name: str) -> Config:
    """The configuration in a text; `name` is what errors call it."""
    try:
        return Config.model_validate(tomllib.loads(text))
    except RecursionError as error:
        raise ConfigError(f"{name} is nested too deep for a configuration. See: waytell config init") from error
    except tomllib.TOMLDecodeError as error:
        raise ConfigError(f"{name} is not TOML: {error}.") from error
    except ValidationError as error:
        raise ConfigError(f"{name} cannot be used:\n{in_words(error, 'waytell config init')}") from error
    except ValueError as error:  # so Python refuses to read an endless number
        raise ConfigError(f"{name} holds a number of thousands of digits. See: waytell config init") from error
