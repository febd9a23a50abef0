"""Devices that were let in: kept over a start, gone when taken away, and of no use to whoever reads the file."""

from __future__ import annotations

from pathlib import Path

import pytest

from waytell.access.devices import FILE, MOST_DEVICES, DevicesError, KnownDevices

DAY, NEXT_DAY = "2026-11-26", "2026-11-27"


def test_a_device_is_known_by_its_key_also_after_a_start(tmp_path: Path) -> None:
    key = KnownDevices(tmp_path).let_in("tablet at the bench", "operate", DAY)
    anew = KnownDevices(tmp_path)
    device = anew.whose(key)
    assert device is not None
    assert (device.name, device.role, device.since) == ("tablet at the bench", "operate", DAY)
    assert anew.whose(key[:-1]) is None
    assert anew.whose("") is None


def test_the_file_is_the_persons_own_and_holds_no_key(tmp_path: Path) -> None:
    key = KnownDevices(tmp_path).let_in("phone", "watch", DAY)
    file = tmp_path / FILE
    assert file.stat().st_mode & 0o777 == 0o600
    assert key not in file.read_text()
    # 256 random bits in base 64: OWASP ASVS 4.0.3, 3.2.2 asks for 64 at least (from memory).
    assert len(key) == 43


def test_one_that_is_taken_away_is_let_in_no_longer(tmp_path: Path) -> None:
    told: list[str] = []
    devices = KnownDevices(tmp_path, told.append)
    kept, lost = devices.let_in("phone", "watch", DAY), devices.let_in("tablet", "operate", DAY)
    device = devices.whose(lost)
    assert device is not None
    assert devices.take_away(device.id)
    assert told == [device.id]
    assert not devices.take_away(device.id)
    for known in (devices, KnownDevices(tmp_path)):
        assert known.whose(lost) is None
        assert known.whose(kept) is not None


def test_the_day_it_was_last_here_is_kept(tmp_path: Path) -> None:
    devices = KnownDevices(tmp_path)
    key = devices.let_in("phone", "watch", DAY)
    devices.seen(key, NEXT_DAY)
    devices.seen("somebody", NEXT_DAY)
    (device,) = KnownDevices(tmp_path).all()
    assert (device.since, device.seen) == (DAY, NEXT_DAY)


def test_a_damaged_file_lets_nobody_in_and_stays(tmp_path: Path) -> None:
    KnownDevices(tmp_path).let_in("phone", "watch", DAY)
    file = tmp_path / FILE
    file.write_bytes(file.read_bytes()[:-20])
    before = file.read_bytes()
    with pytest.raises(DevicesError, match="backup"):
        KnownDevices(tmp_path)
    assert file.read_bytes() == before


def test_a_folder_that_cannot_be_written_lets_nobody_in(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    devices = KnownDevices(tmp_path / "file")
    with pytest.raises(DevicesError, match="cannot be"):
        devices.let_in("phone", "watch", DAY)
    assert devices.all() == ()


def test_there_is_an_end_to_devices(tmp_path: Path) -> None:
    devices = KnownDevices(tmp_path)
    for number in range(MOST_DEVICES):
        devices.let_in(f"display {number}", "watch", DAY)
    with pytest.raises(DevicesError, match="Take one away"):
        devices.let_in("one more", "watch", DAY)
