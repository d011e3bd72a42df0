"""The profile is chosen once: it stays in every address until another is chosen."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest

from limitcheck.page.addresses import TASKS

from .server import Client

TEA = "transfer/kestrel-bay.toml"


def links(text: str) -> list[str]:
    """Every address that a screen leads to, without those of its own places."""
    found = map(unescape, re.findall(r'<a [^>]*?href="([^"]*)"', text))
    return [address for address in found if not address.startswith("#")]


@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.address)
def test_the_profile_stays_in_every_link(page: Client, task) -> None:
    answer = page.get(task.address, profile=TEA)
    assert answer.status == 200
    navigation = answer.text[answer.text.index("<nav") : answer.text.index("</nav>")]
    found = links(navigation)
    assert [urlsplit(link).path for link in found] == [task.address for task in TASKS]
    assert all(parse_qs(urlsplit(link).query)["profile"] == [TEA] for link in found)
    assert navigation.count('aria-current="page"') == 1
    assert "(transfer/kestrel-bay.toml)" in answer.words
    assert "KB-TEA-031 on KB-LC-05, bar" in answer.words
    assert '<select id="profile"' not in answer.text


@pytest.mark.parametrize("task", TASKS[1:], ids=lambda task: task.address)
def test_another_profile_is_chosen_for_the_same_screen(page: Client, task) -> None:
    answer = page.get(task.address, profile=TEA)
    (change,) = re.findall(r'href="([^"]*)">Choose another profile', answer.text)
    overview = page.ask(unescape(change))
    chosen = [link for link in links(overview.text) if link.startswith(f"{task.address}?")]
    names = {parse_qs(urlsplit(link).query)["profile"][0] for link in chosen}
    assert {"transfer/harrow-mill-11.toml", "units/psi-on-bar.toml"} < names


@pytest.mark.parametrize("place", ["http://elsewhere.example/", "//elsewhere.example", "/record"])
def test_a_profile_is_chosen_for_no_other_place(page: Client, place: str) -> None:
    answer = page.get("/", **{"for": place})
    assert answer.status == 200
    assert all(link.split("?")[0] in {t.address for t in TASKS} for link in links(answer.text))


def test_without_a_profile_the_links_have_none(page: Client) -> None:
    answer = page.ask("/entry")
    assert not any("profile=" in link for link in links(answer.text))
    assert 'name="profile"' in answer.text
    assert "Choose another profile" not in answer.words


def test_a_profile_that_is_not_there_is_asked_for_again(page: Client) -> None:
    answer = page.get("/entry", profile="gone.toml", value="35")
    assert '"gone.toml" is not a profile in this folder' in answer.words
    assert '<select id="profile"' in answer.text
