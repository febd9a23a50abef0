"""The standard's XML documents: devices, streams and errors. No I/O, no clock."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple
from xml.etree import ElementTree as ET

from waytell.mtconnect.buffer import Observation
from waytell.mtconnect.items import MACHINE, Component, Condition, Item

VERSION = "1.4"
# A name space of our own, so that a machine's name always gives the same identifier (RFC 9562, version 5).
OF_MACHINES = uuid.uuid5(uuid.NAMESPACE_URL, "urn:waytell:machine")


class Head(NamedTuple):
    """What every document says of the program that sends it."""

    time: str
    sender: str
    instance: int
    buffer_size: int


def devices_document(head: Head, machines: Sequence[str]) -> bytes:
    """What machines there are, and what is told of each."""
    root = _root("MTConnectDevices")
    _header(root, head, {"assetBufferSize": "1", "assetCount": "0"})
    devices = ET.SubElement(root, "Devices")
    for machine in machines:
        _component(devices, MACHINE, machine, {"uuid": uuid_of(machine), "name": name_of(machine)})
    return _bytes(root)


def streams_document(
    head: Head, found: Mapping[str, Iterable[Observation]], numbers: Mapping[str, int]
) -> bytes:  # fmt: skip
    """Observations by machine; `numbers` are first, last and next of the buffer."""
    root = _root("MTConnectStreams")
    _header(root, head, {f"{name}Sequence": str(numbers[name]) for name in ("next", "first", "last")})
    streams = ET.SubElement(root, "Streams")
    for machine, observations in found.items():
        stream = ET.SubElement(streams, "DeviceStream", name=name_of(machine), uuid=uuid_of(machine))
        by_item: dict[str, list[Observation]] = {}
        for one in observations:
            by_item.setdefault(one.item, []).append(one)
        _component_streams(stream, MACHINE, machine, by_item)
    return _bytes(root)


def error_document(head: Head, code: str, words: str) -> bytes:
    root = _root("MTConnectError")
    _header(root, head, {})
    ET.SubElement(ET.SubElement(root, "Errors"), "Error", errorCode=code).text = words
    return _bytes(root)


def uuid_of(machine: str) -> str:
    return str(uuid.uuid5(OF_MACHINES, machine))


def name_of(machine: str) -> str:
    """A name as XML takes it (NMTOKEN); the machine's own is in its description."""
    return "".join(one if one.isascii() and (one.isalnum() or one in "-_.") else "_" for one in machine) or "_"


def _id(machine: str, part: str) -> str:
    """One of its own in the whole document, as XML wants it (ID)."""
    return f"m{uuid_of(machine)[:8]}_{part}"


def _component(parent: ET.Element, component: Component, machine: str, more: Mapping[str, str]) -> None:
    names = {"name": component.name} if component.name else {}
    element = ET.SubElement(parent, component.element, {"id": _id(machine, component.id), **names, **more})
    if component is MACHINE:
        ET.SubElement(element, "Description", manufacturer="").text = machine
    elif component.tells:
        ET.SubElement(element, "Description").text = component.tells
    if component.items:
        items = ET.SubElement(element, "DataItems")
        for item in component.items:
            ET.SubElement(items, "DataItem", _attributes(item, machine))
    if component.parts:
        parts = ET.SubElement(element, "Components")
        for part in component.parts:
            _component(parts, part, machine, {})


def _attributes(item: Item, machine: str) -> dict[str, str]:
    told = {
        "id": _id(machine, item.id), "category": item.category, "type": item.type, "subType": item.sub_type,
        "units": item.units, "coordinateSystem": item.system,
    }  # fmt: skip
    return {name: value for name, value in told.items() if value is not None}


_CONTAINER = {"SAMPLE": "Samples", "EVENT": "Events", "CONDITION": "Condition"}


def _component_streams(
    stream: ET.Element, component: Component, machine: str, by_item: Mapping[str, list[Observation]]
) -> None:
    observed = {item: by_item[item.id] for item in component.items if item.id in by_item}
    if observed:
        name = name_of(machine) if component is MACHINE else component.name
        element = ET.SubElement(
            stream, "ComponentStream", component=component.element, name=name, componentId=_id(machine, component.id)
        )
        for category, container in _CONTAINER.items():
            of_category = {item: values for item, values in observed.items() if item.category == category}
            if of_category:
                _observations(ET.SubElement(element, container), of_category, machine)
    for part in component.parts:
        _component_streams(stream, part, machine, by_item)


def _observations(container: ET.Element, observed: Mapping[Item, list[Observation]], machine: str) -> None:
    for item, ones in observed.items():
        for one in ones:
            told = {"dataItemId": _id(machine, item.id), "sequence": str(one.sequence), "timestamp": one.time}
            if isinstance(one.value, Condition):
                code = {"nativeCode": one.value.code} if one.value.code else {}
                element = ET.SubElement(container, one.value.level.capitalize(), {**told, "type": item.type, **code})
                element.text = one.value.words or None
            else:
                sub_type = {"subType": item.sub_type} if item.sub_type else {}
                ET.SubElement(container, _element(item.type), {**told, **sub_type}).text = one.value


def _element(kind: str) -> str:
    """PATH_FEEDRATE is told as PathFeedrate."""
    return "".join(word.capitalize() for word in kind.split("_"))


def _root(name: str) -> ET.Element:
    return ET.Element(name, xmlns=f"urn:mtconnect.org:{name}:{VERSION}")


def _header(root: ET.Element, head: Head, more: Mapping[str, str]) -> None:
    told = {
        "creationTime": head.time, "sender": head.sender, "instanceId": str(head.instance), "version": VERSION,
        "bufferSize": str(head.buffer_size),
    }  # fmt: skip
    ET.SubElement(root, "Header", {**told, **more})


def _bytes(root: ET.Element) -> bytes:
    return bytes(ET.tostring(root, encoding="UTF-8", xml_declaration=True))
