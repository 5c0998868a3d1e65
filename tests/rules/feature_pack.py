"""A pack of no place that says every thing the format can say, for tests of the format itself."""

from __future__ import annotations

from functools import cache
from typing import Any

from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.rules.pack import compile_pack

ALL_OF_IT = """
id = "zz-all"
title = "A pack for tests"
authority = "nobody"
place = "ZZ"
edition = "1"
status = "draft"
law = true
read_on = "2026-11-26"
borrow_hours = 24
effective_from = 2020-01-01
doubtful = ["nothing of it is law"]

[sources]
text = { address = "https://example.org/text", read_on = "2026-11-26" }

[coverage]
disinfectant_minimum = { state = "limited", clause = "1" }
disinfectant_maximum = { state = "limited", clause = "2" }
ph = { state = "limited", clause = "3" }
clarity = { state = "limited", clause = "4" }
combined_chlorine = { state = "limited", clause = "5" }
temperature = { state = "not-read" }
test_interval = { state = "limited", clause = "6" }

[[class]]
id = "high"
fact = "risk_class"
clause = "0 a"
source = "text"
evidence = "seen"
when = { kind = ["spa", "wading"] }

[[class]]
id = "high"
fact = "facts.size"
clause = "0 b"
source = "text"
evidence = "seen"
when_number = [{ fact = "surface_m2", at_least = "130" }]

[[class]]
id = "medium"
fact = "risk_class"
clause = "0 c"
source = "text"
evidence = "seen"
when_number = [{ fact = "facts.beds", at_most = "40" }]

[[class]]
id = "low"
fact = "risk_class"
clause = "0 d"
source = "text"
evidence = "seen"

[[rule]]
id = "free-minimum"
clause = "1"
source = "text"
evidence = "seen"
parameter = "free_chlorine"
at_least = "3.0"
level = "correct"
modify = [
  { add = "1.0", words = "pH above 7.6", when_reading = [{ parameter = "ph", above = "7.6" }] },
  { times = "1.5", words = "high risk", when = { risk_class = ["high"] } },
]

[[rule]]
id = "free-maximum"
clause = "2"
source = "text"
evidence = "seen"
parameter = "free_chlorine"
at_most = "10.0"
level = "close"
modify = [{ times = "1.2", words = "now and then", when = { "facts.overshoot" = ["allowed"] } }]
scope = "circuit"

[[rule.then]]
level = "notify"
do = "Tell the authority."
within_hours = 24
to = "authority"
clause = "2 b"

[[rule.then]]
level = "advise"
do = "Tell the bathers."
to = "patrons"

[[rule]]
id = "ph-range-low"
clause = "3"
source = "text"
evidence = "seen"
parameter = "ph"
at_least = "7.0"
level = "correct"

[[rule]]
id = "ph-range-high"
clause = "3"
source = "text"
evidence = "seen"
parameter = "ph"
at_most = "7.8"
level = "correct"

[[rule]]
id = "bottom"
clause = "4"
source = "text"
evidence = "seen"
parameter = "clarity"
equals = "visible"
level = "close"

[[rule]]
id = "combined-third"
clause = "5 a"
source = "text"
evidence = "seen"
parameter = "combined_chlorine"
at_most = "0"
relative_to = "total_chlorine"
times = [1, 3]
level = "advise"

[[rule]]
id = "combined-lasting"
clause = "5 b"
source = "text"
evidence = "seen"
parameter = "combined_chlorine"
at_most = "1.0"
for_more_than_hours = 24
level = "close"

[[rule]]
id = "stopped-for-an-hour"
clause = "5 c"
source = "text"
evidence = "seen"
parameter = "circulation"
equals = "running"
for_more_than_hours = 1
level = "close"

[[rule]]
id = "nitrate-over-fill"
clause = "7"
source = "text"
evidence = "seen"
parameter = "nitrate"
at_most = "20"
relative_to_fact = "fill_nitrate"
level = "retest"

[[rule]]
id = "coliforms-membrane"
clause = "8 a"
source = "text"
evidence = "seen"
parameter = "coliforms"
below = "1"
methods = ["membrane"]
level = "close"

[[rule]]
id = "coliforms-enzyme"
clause = "8 b"
source = "text"
evidence = "seen"
parameter = "coliforms"
at_most = "1"
methods = ["enzyme-substrate"]
level = "close"

[[rule]]
id = "count-twice"
clause = "9 a"
source = "text"
evidence = "seen"
parameter = "colony_count"
at_most = "200"
consecutive = 2
level = "close"

[[rule]]
id = "count-three-of-five"
clause = "9 b"
source = "text"
evidence = "seen"
parameter = "colony_count"
at_most = "150"
window = { fails = 3, of = 5, unit = "samples" }
level = "notify"

[[rule]]
id = "count-share"
clause = "9 c"
source = "text"
evidence = "seen"
parameter = "colony_count"
at_most = "100"
share = { above_percent = 15, days = 30 }
level = "correct"

[[rule]]
id = "low-on-five-days"
clause = "10"
source = "text"
evidence = "seen"
parameter = "orp_mv"
at_least = "700"
window = { fails = 5, of = 5, unit = "days" }
level = "notify"
when_reading = [{ parameter = "free_chlorine", below = "4.0" }]

[[rule.modify]]
add = "20"
words = "pH above 7.3"
when_reading = [{ parameter = "ph", above = "7.3" }]

[[rule]]
id = "large-pools-only"
clause = "11"
source = "text"
evidence = "seen"
parameter = "turbidity_ntu"
at_most = "0.5"
level = "correct"
when = { "facts.size" = ["high"] }
when_number = [{ fact = "volume_m3", above = "100" }]

[[interval]]
every_hours = 4
clause = "6"
source = "text"
evidence = "seen"
words = "every four hours"
when = { risk_class = ["medium"] }

[[interval]]
every_hours = 2
clause = "6 b"
source = "text"
evidence = "seen"
words = "every two hours at high risk"
when = { risk_class = ["high"] }

[[schedule]]
id = "before-opening"
clause = "6 c"
source = "text"
evidence = "seen"
words = "in the half hour before opening"
test = ["free_chlorine", "ph"]
before_opening_minutes = 30
by = "hand"

[[schedule]]
id = "after-rain"
clause = "6 d"
source = "text"
evidence = "seen"
words = "within the hour after rain"
test = ["free_chlorine"]
after = ["rain", "addition"]
within_minutes = 60
grace_minutes = 10

[[schedule]]
id = "by-the-clock"
clause = "6 e"
source = "text"
evidence = "seen"
words = "at nine and at two"
test = ["ph"]
clock = ["14:00", "09:00"]

[[schedule]]
id = "microbes"
clause = "6 f"
source = "text"
evidence = "seen"
words = "monthly, ten days apart"
test = ["microbiology"]
every_months = 1
min_spacing_days = 10
while_closed = true
when_number = [{ fact = "volume_m3", above = "100" }]

[[checklist]]
id = "grates"
clause = "12"
source = "text"
evidence = "seen"
words = "Every drain grate is in place."
level = "close"
scope = "pool"

[[reopening]]
id = "free-again"
clause = "13 a"
source = "text"
evidence = "seen"
words = "free chlorine back at 1"
for = ["closure"]
parameter = "free_chlorine"
at_least = "1.0"

[[reopening]]
id = "approval"
clause = "13 b"
source = "text"
evidence = "seen"
words = "the authority agrees"
for = ["ordered-closure"]
approval = "authority"

[[reopening]]
id = "cleaned"
clause = "13 c"
source = "text"
evidence = "seen"
words = "the pool was cleaned"
for = ["diarrhoea", "microbiology"]
duty = "clean the pool"

[[deadline]]
id = "tell"
on = "rule:free-maximum"
clause = "14 a"
source = "text"
evidence = "seen"
words = "tell the authority"
within_hours = 24
to = "authority"

[[deadline]]
id = "report"
on = "rule:free-maximum"
clause = "14 b"
source = "text"
evidence = "seen"
words = "send the report in"
within_hours = 72
to = "authority"
after = "tell"

[[procedures]]
id = "diarrhoea"
for = ["diarrhoea"]
clause = "15"
source = "text"
evidence = "seen"
words = "Close, then hold chlorine."
ph_at_most = "7.5"
when = { stabiliser = ["used"] }
points_least = 2

[[procedures.steps]]
id = "close"
words = "Close."

[[procedures.steps]]
id = "drain"
words = "Drain until stabiliser is at most 15."
gate = { parameter = "cyanuric_acid", at_most = "15" }

[[procedures.routes]]
id = "hold"
words = "20 mg/L for 12.75 h"
ct_mg_min_l = "15300"

[[procedures.golden]]
note = "not yet"
complete = []
readings = [
  { minute = 0, free_chlorine = "20", ph = "7.4" },
  { minute = 10, free_chlorine = "20", ph = "7.4" },
]

[[procedures.golden]]
note = "all of it"
complete = ["hold"]
readings = [
  { minute = 0, free_chlorine = "20", ph = "7.4" },
  { minute = 400, free_chlorine = "20", ph = "7.4" },
  { minute = 800, free_chlorine = "20", ph = "7.4" },
]

[sampling]
clause = "16"
source = "text"
words = "Away from the inlets."
depth_mm = 300
points = 2
order = "microbes before chemistry"

[records]
clause = "17"
source = "text"
keep_months = 24
fields = ["time", "tester"]
display_days = 30
signature = true

[[contradiction]]
about = "stabiliser"
one = "100 in the table"
other = "50 in the text"
chosen = "50"
why = "the stricter"
clause = "18"

[[golden]]
note = "the limit is worked out"
pool = { kind = "pool" }
readings = { free_chlorine = "3.5", ph = "7.7" }
overall = "does-not-meet"
fails = ["free-minimum"]
"""


@cache
def all_of_it() -> dict[str, Any]:
    """Give the pack compiled."""
    return compile_pack(ALL_OF_IT)


def judged(readings: Any, pool: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    """Judge readings by the pack."""
    question = {"pool": {"kind": "pool", **(pool or {})}, "readings": readings, **more}
    return judge_case(all_of_it(), case_from(question))


def row_of(answer: dict[str, Any], rule: str) -> dict[str, Any]:
    """Give the row of a rule, or an empty one where it said nothing."""
    return next((row for row in answer["results"] if row["rule"] == rule), {})
