"""How much a workbook unpacks to, counted before anything of it is kept.

An archive may say less than it holds, and 400 kB may hold 400 MB of blanks: each member is unpacked
in pieces that are thrown away, up to the size that it states and that a table may have.
"""

from __future__ import annotations

import struct
import zlib
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipInfo

from ..errors import Refused

LARGEST_UNPACKED = 256 * 1024 * 1024
"""Bytes: a sheet of 100,000 rows and 40 columns has fewer."""
MOST_TIMES, SMALL = 100, 16 * 1024 * 1024
"""Times its packed size that a workbook may unpack to, where that is not small: sheets of cells
that are all alike unpack to about 20 times (measured on workbooks of openpyxl)."""
_TAKEN, _PIECE = 16 * 1024, 1024 * 1024
"""Bytes that are unpacked at a time, and that are made of them at most."""


def refuse_bombs(content: bytes, members: list[ZipInfo], path: str) -> None:
    """Raises Refused where a workbook unpacks to more than a table, BadZipFile for a false size."""
    stated = sum(member.file_size for member in members)
    if stated > LARGEST_UNPACKED or (stated > SMALL and stated > MOST_TIMES * len(content)):
        raise Refused(
            f"{path} has {len(content):,} bytes and unpacks to {stated:,}: no table does",
            "open it in a spreadsheet program, delete what is not the table, and save it again",
        )
    for member in members:
        if _holds_more(content, member):
            raise BadZipFile(f"{member.filename} holds more than the size it states")


def _holds_more(content: bytes, member: ZipInfo) -> bool:
    """Whether a member unpacks to more than the size it states."""
    try:
        name, extra = struct.unpack_from("<HH", content, member.header_offset + 26)
    except struct.error:
        raise BadZipFile(f"{member.filename} is cut off") from None
    start = member.header_offset + 30 + name + extra
    packed = memoryview(content)[start : start + member.compress_size]
    if member.compress_type == ZIP_STORED:
        return member.compress_size != member.file_size
    if member.compress_type != ZIP_DEFLATED:
        raise BadZipFile(f"{member.filename} is packed in a way that workbooks are not")
    if member.flag_bits & 1:
        return False  # encrypted: it is refused when it is read
    unpacker, size = zlib.decompressobj(-15), 0
    try:
        for at in range(0, len(packed), _TAKEN):
            taken: bytes = bytes(packed[at : at + _TAKEN])
            while taken and size <= member.file_size and not unpacker.eof:
                size += len(unpacker.decompress(taken, _PIECE))
                taken = unpacker.unconsumed_tail
    except zlib.error as error:
        raise BadZipFile(f"{member.filename}: {error}") from None
    return size > member.file_size
