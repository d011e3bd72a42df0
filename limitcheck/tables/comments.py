"""Comments that are attached to the cells of a workbook: the library does not tell them."""

from __future__ import annotations

from collections.abc import Mapping
from posixpath import dirname, join, normpath, split
from xml.etree import ElementTree
from zipfile import ZipFile

from .grid import cell_numbers


def comments_of(archive: ZipFile, part: str) -> Mapping[tuple[int, int], str]:
    """The comments of the sheet in a part of the archive, by row and column from 0."""
    folder, name = split(part)
    related = join(folder, "_rels", f"{name}.rels")
    if related not in archive.namelist():
        return {}
    found: dict[tuple[int, int], str] = {}
    for element in _parsed(archive, related):
        if element.get("Type", "").endswith("/comments"):
            target = element.get("Target", "")
            path = normpath(join(dirname(part), target))
            if target.startswith("/"):
                path = target.lstrip("/")
            if path in archive.namelist():
                found |= _read(archive, path)
    return found


def _read(archive: ZipFile, path: str) -> dict[tuple[int, int], str]:
    found = {}
    for element in _parsed(archive, path).iter():
        if element.tag.rpartition("}")[2] == "comment" and (place := element.get("ref")):
            texts = (e.text or "" for e in element.iter() if e.tag.rpartition("}")[2] == "t")
            found[cell_numbers(place)] = " ".join("".join(texts).split())
    return found


def _parsed(archive: ZipFile, path: str) -> ElementTree.Element:
    content = archive.read(path)
    if b"<!DOCTYPE" in content:  # none of a workbook has one; entities are never expanded
        raise ValueError(f"{path} declares a document type")
    return ElementTree.fromstring(content)
