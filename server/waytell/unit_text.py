"""What a Linux computer needs to run Waytell for years: a systemd unit, and a udev rule for the board. Text only.

Both are open standards of the system; the options are those of systemd.exec(5), systemd.service(5) and udev(7).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

STATE_FOLDER = "waytell"
GROUP = "dialout"
"""Whose members may open serial ports on Debian."""


class Unit(NamedTuple):
    name: str
    text: str


def unit(program: Path, arguments: Sequence[str], *, system: bool) -> Unit:
    """A unit that runs `program` with these arguments, and starts it again whenever it fails.

    Raises:
        ValueError: an argument cannot stand in a unit.
    """
    words = [str(program), *arguments]
    if "--no-browser" not in words:
        words.append("--no-browser")
    if system and "--data" not in words and arguments[0] != "bridge":
        # systemd makes this folder, owned by the unit's own user.
        words += ["--data", f"/var/lib/{STATE_FOLDER}"]
    if arguments[0] == "bridge":
        words.remove("--no-browser")
    lines = [
        "[Unit]",
        f"Description=Waytell: waytell {arguments[0]}",
        # A board that is not plugged in yet, or a broker that is not there, is waited for by the program itself.
        "After=network.target",
        "StartLimitIntervalSec=0",
        "",
        "[Service]",
        "Type=exec",
        f"ExecStart={' '.join(_quoted(word) for word in words)}",
        "KillSignal=SIGINT",
        "TimeoutStopSec=15",
        "Restart=on-failure",
        "RestartSec=2",
        "NoNewPrivileges=yes",
        *(_system_lines() if system else ()),
        "",
        "[Install]",
        f"WantedBy={'multi-user' if system else 'default'}.target",
    ]
    return Unit(f"waytell-{arguments[0]}.service", "\n".join(lines) + "\n")


def _system_lines() -> tuple[str, ...]:
    """A user of its own, that may open serial ports and write into one folder."""
    return (
        "DynamicUser=yes",
        f"SupplementaryGroups={GROUP}",
        f"StateDirectory={STATE_FOLDER}",
        "ProtectSystem=strict",
        "ProtectHome=read-only",
        "PrivateTmp=yes",
        "ProtectKernelTunables=yes",
        "ProtectControlGroups=yes",
        "RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX",
    )


def _quoted(word: str) -> str:
    """As systemd.service(5) reads a command line: % and $ doubled, in double quotes where need be."""
    if any(ord(letter) < 32 for letter in word):
        raise ValueError(f"{word!r} has a control character in it, which cannot stand in a unit.")
    word = word.replace("%", "%%").replace("$", "$$")
    if re.fullmatch(r"[A-Za-z0-9_./:=@%$,+-]+", word):
        return word
    return '"' + word.replace("\\", "\\\\").replace('"', '\\"') + '"'


class Board(NamedTuple):
    """How the system tells a USB serial port: vendor and product as four hexadecimal digits, and its serial number."""

    vendor: str
    product: str
    serial: str | None


def udev_rule(board: Board, link: str = "waytell") -> str:
    """A rule by which the board is /dev/LINK wherever it is plugged in.

    Raises:
        ValueError: a number or name cannot stand in a rule.
    """
    for digits in (board.vendor, board.product):
        if not re.fullmatch(r"[0-9a-fA-F]{4}", digits):
            raise ValueError(f"{digits!r} is not four hexadecimal digits.")
    if not re.fullmatch(r"[A-Za-z0-9_-]{1,40}", link):
        raise ValueError(f"{link!r} cannot name a device: use letters, digits, hyphens and underscores.")
    if board.serial is not None and not re.fullmatch(r"[ -!#-~]{1,120}", board.serial):
        raise ValueError(f"The serial number {board.serial!r} cannot stand in a rule.")
    serial = "" if board.serial is None else f', ATTRS{{serial}}=="{board.serial}"'
    return (
        f'SUBSYSTEM=="tty", ATTRS{{idVendor}}=="{board.vendor.lower()}", ATTRS{{idProduct}}=="{board.product.lower()}"'
        f'{serial}, SYMLINK+="{link}", GROUP="{GROUP}", MODE="0660"\n'
    )
