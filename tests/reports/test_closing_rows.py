"""A closing on a sheet: own or by order, on which clause, and everything that followed it."""

from __future__ import annotations

from tests.baths import Baths
from tests.reports.sheet_cases import rows, sheet

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.closures import keep_met, keep_notice, keep_notified, lift_closure
from lanewater.service.matrix import set_matrix
from lanewater.service.opening import close_pool

CLOSED = {"pool": "main", "kind": "closed", "reason": "Low", "clause": "s. 17"}


def test_an_own_closing_says_its_clause_and_how_widely_it_closes(baths: Baths) -> None:
    close_pool(baths.book, baths.who("manager"), CLOSED | {"scope": "circuit"})
    (row,) = rows(sheet(baths), "closed")
    assert row.text == "closed, s. 17, with every pool on its filter: Low"
    assert row.by == "DD"


def test_an_ordered_closing_stands_out_and_so_does_its_end(baths: Baths) -> None:
    order = {"by_order": True, "authority": "Health office", "reference": "HO-17"}
    closure = close_pool(baths.book, baths.who("manager"), CLOSED | order)["entry"]
    about = {"pool": "main", "about": closure}
    keep_notified(baths.book, ANYBODY, about | {"authority": "Mayor", "how": "by telephone"})
    keep_notice(baths.book, ANYBODY, about | {"languages": ["en", "fr"], "place": "door"})
    keep_met(baths.book, ANYBODY, about | {"deadline": "clean", "words": "all of it"})
    paper = {"name": "letter.pdf", "sha256": "0" * 64}
    lift = {"pool": "main", "closure": closure, "authority": "Ida", "document": paper}
    lift_closure(baths.book, baths.who("manager"), lift)
    found = sheet(baths)
    said = [row.text for kind in ("closed", "told", "notice", "deadline", "lifted")
            for row in rows(found, kind)]  # fmt: skip
    assert said == [
        "closed BY ORDER of Health office (HO-17), s. 17: Low",
        "authority told by telephone: Mayor",
        "sign put up (en, fr), door",
        "deadline met: clean: all of it",
        "order lifted: Ida, paper: letter.pdf",
    ]


def test_a_change_of_who_decides_is_on_the_sheet(baths: Baths) -> None:
    row = {"decision": "open", "role": "tester", "answer": "yes"}
    set_matrix(baths.book, SHELL, {"rows": [row]})
    texts = [found.text for found in sheet(baths).others]
    assert any("who decides changed: open, tester: yes" in text for text in texts)
