"""The standard's documents, held against its rules.

Published sources: MTConnect Standard (ANSI/MTC1.4), Part 1 (headers, errors), Part 2 (devices) and Part 3 (streams);
the rules below are from memory. Reference library for the types of data items: `mtconnect` from PyPI.
"""

from __future__ import annotations

import re
from datetime import datetime
from xml.etree import ElementTree as ET

import pytest
from mtconnect.standard_list import MTC_DataID_list  # type: ignore[import-untyped]

from waytell.mtconnect.buffer import Buffer
from waytell.mtconnect.documents import Head, devices_document, error_document, name_of, streams_document
from waytell.mtconnect.items import MACHINE, Condition, items_of, unavailable

HEAD = Head("2026-11-26T12:00:00.000Z", "bench", 1, 128)
MACHINES = ["north wall", "lathe 2 (\u00fc)"]
NMTOKEN = re.compile(r"[-._:A-Za-z0-9]+")
XML_ID = re.compile(r"[A-Za-z_][-._A-Za-z0-9]*")
UNITS = {"MILLIMETER", "MILLIMETER/SECOND", "REVOLUTION/MINUTE"}
UNITS_OF = {"POSITION": "MILLIMETER", "PATH_FEEDRATE": "MILLIMETER/SECOND", "ROTARY_VELOCITY": "REVOLUTION/MINUTE"}
# Order of the children of a component, and the components that may hold others.
ORDER = ["Description", "Configuration", "DataItems", "Components", "Compositions", "References"]
HOLDS = {"Device": {"Axes", "Controller"}, "Axes": {"Linear", "Rotary"}, "Controller": {"Path"}}


def parsed(document: bytes, name: str) -> ET.Element:
    root = ET.fromstring(document)
    assert root.tag == f"{{urn:mtconnect.org:{name}:1.4}}{name}"
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
    header = root[0]
    assert header.tag == "Header"
    assert {"creationTime", "sender", "instanceId", "version", "bufferSize"} <= set(header.attrib)
    assert header.get("version") == "1.4"
    datetime.fromisoformat(str(header.get("creationTime")))
    return root


def test_devices_keep_the_rules_of_part_2() -> None:
    root = parsed(devices_document(HEAD, MACHINES), "MTConnectDevices")
    assert {"assetBufferSize", "assetCount"} <= set(root[0].attrib)
    devices = root.findall("Devices/Device")
    assert len(devices) == len(MACHINES)
    ids = [str(element.get("id")) for element in root.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids)), "an id is unique in the document"
    assert all(XML_ID.fullmatch(one) for one in ids)
    assert len({device.get("uuid") for device in devices}) == len(devices)
    for device in devices:
        assert NMTOKEN.fullmatch(str(device.get("name")))
        own = [item.get("type") for item in device.findall("DataItems/DataItem")]
        assert {"AVAILABILITY", "ASSET_CHANGED", "ASSET_REMOVED"} <= set(own), "each device must have these"
    for element in root.iter():
        if element.find("DataItems") is not None or element.find("Components") is not None:
            told = [child.tag for child in element]
            assert told == sorted(told, key=ORDER.index), element.tag
            parts = {part.tag for part in element.findall("Components/*")}
            assert parts <= HOLDS.get(element.tag, set()), element.tag


def test_data_items_keep_the_rules_of_part_2() -> None:
    root = parsed(devices_document(HEAD, MACHINES), "MTConnectDevices")
    items = list(root.iter("DataItem"))
    assert len(items) == len(MACHINES) * len(items_of(MACHINE))
    for item in items:
        kind, category = str(item.get("type")), item.get("category")
        # The library's list leaves out what every device has.
        assert kind in {*MTC_DataID_list, "ASSET_CHANGED", "ASSET_REMOVED"}, kind
        assert category in ("SAMPLE", "EVENT", "CONDITION")
        if category == "SAMPLE":
            assert item.get("units") == UNITS_OF[kind], "a sample must tell its units"
            assert item.get("subType") == "ACTUAL"
        else:
            assert item.get("units") is None
        if item.get("coordinateSystem") is not None:
            assert item.get("coordinateSystem") in ("MACHINE", "WORK")


def test_the_lathe_tells_what_the_standard_has_words_for() -> None:
    """Position, path feed rate, rotary velocity, execution and condition."""
    told = {(item.category, item.type) for item in items_of(MACHINE)}
    assert {
        ("SAMPLE", "POSITION"), ("SAMPLE", "PATH_FEEDRATE"), ("SAMPLE", "ROTARY_VELOCITY"), ("EVENT", "EXECUTION"),
        ("CONDITION", "POSITION"), ("CONDITION", "COMMUNICATIONS"), ("CONDITION", "SYSTEM"),
    } <= told  # fmt: skip


def test_streams_keep_the_rules_of_part_3() -> None:
    buffer = Buffer()
    for machine in MACHINES:
        buffer.add(machine, {item.id: unavailable(item) for item in items_of(MACHINE)}, HEAD.time)
    buffer.add(MACHINES[0], {
        "x_position": "8.0000", "execution": "ACTIVE", "link": Condition("FAULT", "lost", "The cable is out."),
    }, "2026-11-26T12:00:00.100Z")  # fmt: skip
    found, _ = buffer.sample(frozenset(MACHINES), 1, 100)
    numbers = {"first": buffer.first, "last": buffer.last, "next": buffer.next}
    of_each = {name: [one for one in found if one.machine == name] for name in MACHINES}
    root = parsed(streams_document(HEAD, of_each, numbers), "MTConnectStreams")
    assert {"firstSequence", "lastSequence", "nextSequence"} <= set(root[0].attrib)
    known = {
        str(item.get("id")): item
        for item in parsed(devices_document(HEAD, MACHINES), "MTConnectDevices").iter("DataItem")
    }
    sequences = []
    for stream in root.iter("ComponentStream"):
        assert {"component", "componentId", "name"} <= set(stream.attrib)
        assert [one.tag for one in stream] == [one for one in ("Samples", "Events", "Condition") if stream.find(one)]
        for container in stream:
            for one in container:
                item = known[str(one.get("dataItemId"))]
                sequences.append(int(str(one.get("sequence"))))
                datetime.fromisoformat(str(one.get("timestamp")))
                if container.tag == "Condition":
                    assert one.tag in ("Normal", "Warning", "Fault", "Unavailable")
                    assert one.get("type") == item.get("type")
                else:
                    assert one.tag.upper() == str(item.get("type")).replace("_", "")
                    assert one.get("subType") == item.get("subType")
    assert sorted(sequences) == list(range(1, len(found) + 1))
    fault = root.find(".//Fault")
    assert fault is not None
    assert (fault.get("nativeCode"), fault.text) == ("lost", "The cable is out.")


def test_an_error_names_its_code() -> None:
    root = parsed(error_document(HEAD, "OUT_OF_RANGE", "too late <&>"), "MTConnectError")
    error = root.find("Errors/Error")
    assert error is not None
    assert (error.get("errorCode"), error.text) == ("OUT_OF_RANGE", "too late <&>")


@pytest.mark.parametrize(("name", "told"), [("north wall", "north_wall"), ("\u00fc", "_"), ("a.b-c_1", "a.b-c_1")])
def test_a_name_is_one_that_xml_takes(name: str, told: str) -> None:
    assert name_of(name) == told
    assert NMTOKEN.fullmatch(told)
