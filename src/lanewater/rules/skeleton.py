"""The beginning of a new pack, with a word beside every line, for somebody who is no programmer."""

from __future__ import annotations

SKELETON = """\
# {id}: local rules for Lanewater.
#
# Lay the law beside you and fill in what stands between quotation marks. A line that begins with #
# is a remark: it counts for nothing. Write every limit as the law prints it, between quotation
# marks ("0.8"), and only what you have read yourself. What you have not read, say so: a pack that
# is honest about its gaps is better than a full one that guesses.
#
# Then:  lanewater rules check {file}      what is still missing, line by line
#        lanewater rules explain {file}    your pack in sentences, to read beside the law

id = "{id}"
title = ""         # the name of the law, as its first page gives it
authority = ""     # whose law it is: the state, the county, the city
place = ""         # the place by ISO 3166, such as "US-TX" or "DE-BY"
edition = ""       # which edition, or the date of the text
status = "draft"   # stays "draft" until a second person has compared every limit with the law
law = true
read_on = ""       # the date on which you read it, such as "2026-11-25"
borrow_hours = 24  # how old a reading of another day may be to choose a limit
# effective_from = "2026-01-01"   # where the law says from when it holds

# --- What you read. Every rule below names one of these.

[sources]
text = {{ address = "", read_on = "" }}   # where the law can be read, and when you read it

# --- What the law limits. For each line one of:
#   limited        rules below hold its limits; the clause says where the law has them
#   no-limit-set   the law sets none; the clause shows that
#   not-read       you have not read it. No round can meet the rules while one of the first four
#                  says so, and that is right.

[coverage]
disinfectant_minimum = {{ state = "limited", clause = "" }}
disinfectant_maximum = {{ state = "not-read" }}
ph = {{ state = "limited", clause = "" }}
clarity = {{ state = "not-read" }}
combined_chlorine = {{ state = "not-read" }}
temperature = {{ state = "not-read" }}
test_interval = {{ state = "not-read" }}

# --- The rules, one [[rule]] for each limit. Copy one and change it.
#   parameter   free_chlorine, total_chlorine, combined_chlorine, total_bromine, ph, clarity,
#               cyanuric_acid, temperature_c, total_alkalinity, turbidity_ntu, circulation ...
#   the limit   one of  at_least = "1.0"   at_most = "5.0"   above = "..."   below = "..."
#               for clarity:  equals = "visible"
#   level       correct (put it right), retest, notify, close (the pool closes),
#               evacuate (everyone out)
#   when        only where the law says it of some pools: {{ kind = ["spa"] }},
#               {{ location = ["indoor"] }}, {{ disinfectant = ["chlorine"] }},
#               {{ stabiliser = ["used"] }}, {{ kind_not = ["spa", "wading"] }}

[[rule]]
id = "free-chlorine-minimum"
clause = ""            # the section, as the law prints it
source = "text"
evidence = "seen"
parameter = "free_chlorine"
at_least = ""          # mg/L
level = "correct"
when = {{ disinfectant = ["chlorine"] }}

[[rule]]
id = "ph-minimum"
clause = ""
source = "text"
evidence = "seen"
parameter = "ph"
at_least = ""
level = "correct"

[[rule]]
id = "ph-maximum"
clause = ""
source = "text"
evidence = "seen"
parameter = "ph"
at_most = ""
level = "correct"

# [[rule]]
# id = "bottom-seen"
# clause = ""
# source = "text"
# evidence = "seen"
# parameter = "clarity"
# equals = "visible"
# level = "close"
# do = "Close the pool."

# --- How often to test.

# [[interval]]
# every_hours = 4
# clause = ""
# source = "text"
# evidence = "seen"
# words = "every four hours while the pool is open"

# --- Golden cases: readings of which you know from the law what must come out. At least five: for
# each limit one just inside and one just outside, and one in which something was not read.
#   overall   meets, does-not-meet, close, evacuate, or not-judged
#   fails     the ids of the rules that it breaks
#   purpose   "sample" judges only what was read; without it, it is a whole round

[[golden]]
note = ""              # such as "Free chlorine 0.9 is under 1.0."
purpose = "sample"
pool = {{ kind = "pool", disinfectant = "chlorine" }}
readings = {{ free_chlorine = "" }}
overall = "does-not-meet"
fails = ["free-chlorine-minimum"]
"""


def skeleton_of(identity: str) -> str:
    """Write the beginning of a pack.

    Parameters
    ----------
    identity : str
        The id that it will have.
    """
    return SKELETON.format(id=identity, file=f"{identity}.toml")
