"""A small site from nothing, through the page."""

from __future__ import annotations

from playwright.sync_api import Locator, expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import today
from tests.journeys.tablet import Tablet


def step(tablet: Tablet, name: str) -> Locator:
    """Find a step of the set-up."""
    return tablet.page.locator(".step").filter(
        has=tablet.page.get_by_role("heading", name=name, exact=True)
    )


def begin(tablet: Tablet, name: str, add: str) -> Locator:
    """Open the form of a step."""
    found = step(tablet, name)
    found.get_by_role("button", name=add).click()
    return found


def keep(found: Locator, shows: str) -> None:
    """Keep what was typed, and see it in the list."""
    found.get_by_role("button", name="Keep", exact=True).click()
    expect(found.locator(".items")).to_contain_text(shows)


def choose_rules(tablet: Tablet) -> None:
    """Choose Quebec's."""
    rules = step(tablet, "Rules")
    rules.get_by_role("button", name="Choose: Quebec").click()
    expect(rules.get_by_role("button", name="Chosen: Quebec")).to_be_visible()


def add_person(tablet: Tablet) -> str:
    """Add the one person who does everything, and give the PIN that is shown once."""
    people = begin(tablet, "People", "Add a person")
    people.get_by_label("Name").fill("Nora Nystrand")
    people.get_by_label("Initials").fill("NN")
    for role in ("tester", "duty manager", "plant operator"):
        people.get_by_label(role, exact=True).check()
    people.get_by_role("button", name="Add a competence").click()
    people.get_by_label("Product").select_option(label="Sodium hypochlorite (liquid)")
    people.get_by_label("From").fill(today(-30))
    people.get_by_label("Make a new PIN").check()
    keep(people, "Nora Nystrand (NN)")
    return people.get_by_role("status").inner_text().split()[1].strip(".")


def add_filter(tablet: Tablet) -> None:
    """Add the filter with all its water."""
    filters = begin(tablet, "Filters", "Add a filter")
    filters.get_by_label("Name of the filter").fill("North filter")
    filters.get_by_label("All its water").fill("120")
    filters.get_by_label("Unit").select_option(label="m³")
    filters.get_by_label("How is that known?").select_option(label="by meter")
    filters.get_by_label("Is the balance tank counted?").select_option("included")
    filters.get_by_label("What does its chlorine feeder hold?").select_option("sodium-hypochlorite")
    keep(filters, "120 m³ (by meter)")


def add_pool(tablet: Tablet) -> None:
    """Add the pool, with a target typed with a comma, without its own volume."""
    pools = begin(tablet, "Pools", "Add a pool")
    pools.get_by_label("Name").fill("Fjord")
    for fact, value in (
        ("Kind", "pool"),
        ("Where it lies", "indoor"),
        ("Disinfectant", "chlorine"),
        ("Stabiliser", "not used"),
        ("Supply", "recirculated"),
    ):
        pools.get_by_label(fact).select_option(label=value)
    pools.get_by_label("On which filter?").select_option(label="North filter")
    pools.get_by_role("button", name="Add a target").click()
    pools.get_by_role("combobox", name="Of", exact=True).select_option(label="Free chlorine")
    pools.get_by_role("textbox", name="Low", exact=True).fill("1,2")
    pools.get_by_role("textbox", name="High", exact=True).fill("1.8")
    pools.get_by_role("button", name="Add hours").click()
    pools.get_by_role("combobox", name="Day", exact=True).select_option(label="every day")
    pools.get_by_label("Opens").fill("06:30")
    pools.get_by_label("Closes").fill("22:00")
    keep(pools, "Fjord · pool · indoor · chlorine")
    expect(pools.locator(".gaps")).to_contain_text("Fjord: no volume: no amount by hand.")


def add_kit(tablet: Tablet) -> None:
    """Add a photometer that shows hundredths."""
    kits = begin(tablet, "Test kits", "Add a kit")
    kits.get_by_label("Name").fill("Photometer")
    kits.get_by_label("Kind").select_option("photometer")
    for parameter in ("Free chlorine", "Total chlorine", "pH"):
        kits.get_by_role("button", name="Add a range").click()
        row = kits.locator(".row-of-fields").last
        row.get_by_role("combobox", name="Of", exact=True).select_option(label=parameter)
        row.get_by_label("Step on its display").fill("0.01")
    keep(kits, "Photometer · photometer")


def add_number(tablet: Tablet) -> None:
    """Add the emergency number."""
    phone = begin(tablet, "Phone list", "Add a number")
    phone.get_by_label("Kind").select_option("emergency")
    phone.get_by_label("Name").fill("Ambulance")
    phone.get_by_label("Number").fill("113")
    keep(phone, "Ambulance: 113 (emergency)")


def test_a_small_site_is_set_up_from_nothing_and_tested(
    empty_site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(empty_site)
    tablet.enrol()
    tablet.go("/site")
    choose_rules(tablet)
    pin = add_person(tablet)
    add_filter(tablet)
    add_pool(tablet)
    add_kit(tablet)
    add_number(tablet)
    tablet.go("/sign-in")
    tablet.page.get_by_role("button", name="NN, ").click()
    tablet.type(pin)
    tablet.tap_key("Sign in NN")
    expect(tablet.page.get_by_role("heading", name="Fjord")).to_be_visible()
    tablet.look("Fjord")
    tablet.test("152", "743", "168")
    expect(tablet.page.get_by_text("Against the rules: meets.")).to_be_visible()
    tablet.save("Fjord")
    pool = empty_site.book.state.pools["fjord"]
    assert dict(pool.targets) == {"free_chlorine": ("1.2", "1.8")}
    assert pool.hours is not None
    assert len(pool.hours) == 7


def test_an_empty_site_says_what_is_missing_and_fills_nothing_in(
    empty_site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(empty_site)
    tablet.enrol()
    tablet.go("/site")
    for missing in (
        "No rules: nothing is judged.",
        "nobody may open",
        "No pool: nothing to test.",
        "No product: no amount.",
        "No emergency number.",
    ):
        expect(tablet.page.locator(".gaps").filter(has_text=missing)).to_have_count(1)
    for name, add in (
        ("People", "Add a person"),
        ("Filters", "Add a filter"),
        ("Pools", "Add a pool"),
        ("Test kits", "Add a kit"),
        ("Products", "Add a product"),
        ("Phone list", "Add a number"),
    ):
        form = begin(tablet, name, add).locator("form")
        expect(form).to_be_visible()
        for field in form.locator("input:not([type=checkbox]), select, textarea").all():
            assert field.input_value() == ""
        assert form.locator("input:checked").count() == 0


def test_what_does_not_fit_is_named_and_nothing_is_lost(
    empty_site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(empty_site)
    tablet.enrol()
    tablet.go("/site")
    filters = begin(tablet, "Filters", "Add a filter")
    filters.get_by_label("Name of the filter").fill("North filter")
    filters.get_by_label("All its water").fill("120")
    filters.get_by_role("button", name="Keep", exact=True).click()
    expect(filters.get_by_role("alert")).to_contain_text(
        "All its water: '' is not one of m3, L, us-gal, imp-gal"
    )
    expect(filters.get_by_label("Name of the filter")).to_have_value("North filter")
    assert empty_site.book.state.circuits == {}


def test_a_tester_reads_the_set_up_and_cannot_change_it(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/site")
    expect(tablet.page.get_by_text("To change the set-up takes")).to_be_visible()
    assert tablet.page.get_by_role("button", name="Change").count() == 0
    assert "Hypo" not in tablet.words
