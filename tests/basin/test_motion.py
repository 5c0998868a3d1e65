"""Water in motion keeps what cannot be lost, and moves the way pools do."""

from hypothesis import given, settings
from hypothesis import strategies as st

from lanewater.basin.motion import Basin, Hour, Water, advance, mixed, ph_of, water_of_reading
from lanewater.kernel.water.slots import T_ALKALINITY, T_CALCIUM, T_HYPOCHLORITE
from lanewater.service.constants import load_constants

K = load_constants("OBM74_dH")
POOL = Basin(volume_m3=400.0, depth_m=1.6, location="indoor")
OUTDOOR = Basin(volume_m3=300.0, depth_m=1.4, location="outdoor")
START = water_of_reading(K, (7.4, 28.0, 100.0, 220.0, 0.0, 0.0, 300.0, 0.0, 1.8, 0.0), 0.15)


def test_a_quiet_night_loses_some_chlorine_and_carbon_dioxide_and_nothing_else() -> None:
    water = START
    for _ in range(16):
        water = advance(POOL, water, Hour(hours=0.5), START, 7.4)
    assert 0.8 * START.free_chlorine_mg_l < water.free_chlorine_mg_l < START.free_chlorine_mg_l
    assert water.totals[T_CALCIUM] == START.totals[T_CALCIUM]
    assert ph_of(K, water) > ph_of(K, START)


def test_two_hundred_bathers_use_more_than_two_milligrams_in_four_hundred_cubic_metres() -> None:
    # 200 bathers at 4.12 to 5.5 g in 400 m3: 2.06 to 2.75 mg/L (trade arithmetic).
    strong = water_of_reading(K, (7.4, 28.0, 100.0, 220.0, 0.0, 0.0, 300.0, 0.0, 5.0, 0.0), 0.1)
    after = advance(POOL, strong, Hour(hours=0.25, bathers=200), START, 7.4)
    used = strong.free_chlorine_mg_l - after.free_chlorine_mg_l
    assert 2.06 < used < 2.75


def test_sun_takes_chlorine_outdoors() -> None:
    shade = advance(OUTDOOR, START, Hour(hours=1.0), START, 7.4)
    sun = advance(OUTDOOR, START, Hour(hours=1.0, sun=1.0), START, 7.4)
    assert sun.free_chlorine_mg_l < shade.free_chlorine_mg_l


def test_fed_hypochlorite_arrives_whole() -> None:
    fed = advance(POOL, START, Hour(hours=0.001, chlorine_g=400.0), START, 7.4)
    assert abs(fed.free_chlorine_mg_l - START.free_chlorine_mg_l - 1.0) < 0.001


@settings(max_examples=60, deadline=None)
@given(
    share=st.floats(min_value=0.0, max_value=1.0),
    small=st.floats(min_value=10.0, max_value=100.0),
    free=st.floats(min_value=0.1, max_value=5.0),
)
def test_mixing_through_a_filter_conserves_every_total(
    share: float, small: float, free: float
) -> None:
    other = Water(
        tuple(
            free / 70906.0 if index == T_HYPOCHLORITE else total * 1.1
            for index, total in enumerate(START.totals)
        ),
        0.4,
        30.0,
    )
    before = (START, other)
    after = mixed(before, (400.0, small), share)
    for index in (T_ALKALINITY, T_HYPOCHLORITE, T_CALCIUM):
        whole = 400.0 * before[0].totals[index] + small * before[1].totals[index]
        kept = 400.0 * after[0].totals[index] + small * after[1].totals[index]
        assert abs(whole - kept) <= 1e-12 + 1e-9 * abs(whole)
    assert after[0].temperature_c == 28.0
