"""One method on two instruments: the decision, and the record of it."""

from __future__ import annotations

from datetime import date, datetime

from ..documents.blocks import Document
from ..documents.transfer import transfer_document
from ..qualify.control import control_of
from ..transfer import Transfer, transfer
from .folder import Folder
from .forms import Form
from .screens import Screen, chosen


def compare(folder: Folder, form: Form, today: date) -> Screen:
    """One method on two instruments."""
    found = _transfer(folder, form, today) if "to" in form.values else None
    return Screen("transfer.html", None if found is None else _document(found))


def record(folder: Folder, form: Form, today: date) -> Document | None:
    """The record of a transfer, to sign; None where the form has problems."""
    found = _transfer(folder, form, today)
    return None if found is None else _document(found)


def _document(found: Transfer) -> Document:
    """The record as the command makes it, of this moment."""
    return transfer_document(found, control_of(found, datetime.now().astimezone(), None))


def _transfer(folder: Folder, form: Form, today: date) -> Transfer | None:
    sending, receiving = chosen(folder, form), chosen(folder, form, "to")
    if sending is None or receiving is None:
        return None
    with form.catching("profile"):
        policies = (folder.policy(form.value("profile")), folder.policy(form.value("to")))
        return transfer(sending, receiving, policies, today)
    return None
