"""Where each number of a planning problem and of its answer stands."""

# A row of the problem: one product in the units that one measure of it has.
ROW_WIDTH = 8
R_PRODUCT = 0  # a product's index, or P_FRESH_WATER
R_UNIT = 1  # mol/L of one unit; of fresh water the share of the volume
R_CAUSTIC = 2  # mol NaOH/mol NaOCl, as `add_product` takes it
R_MOST = 3  # units there are, or may be used in all
R_COST = 4  # of one unit
R_EFFORT = 5  # once it is used at all
R_GROUP = 6  # the lowest goes in first
R_STEP = 7  # units that one step may hold

# A band: where a quantity has to end, and what no step may do to it.
BAND_WIDTH = 6
B_QUANTITY = 0
B_LOW = 1
B_HIGH = 2
B_LIMIT_LOW = 3
B_LIMIT_HIGH = 4
B_STEP = 5  # most change in one step, either way

P_FRESH_WATER = 18
# Beside the quantities of `search`: the saturation index of calcite, log10.
Q_SATURATION = 5

PLAN_FOUND = 0
PLAN_NOT_NEEDED = 1
PLAN_NO_PLAN = 2
PLAN_NO_WATER = 3

MOST_PLAN_STEPS = 12
PLAN_STARTS = 20

# What binds, where there is no plan: a band itself, or with the row or band added to it, a row's
# stock, a limit on the way, a step's cap that one unit exceeds; or the number of steps.
BINDS_NOTHING = -1
BINDS_STOCK = 100
BINDS_LIMIT = 200
BINDS_STEP = 300
BINDS_STEPS = 400

# Which way a plan is put into steps: not at all; by groups; by groups, but a product that a limit
# cuts short after those that go in whole; or the last group first.
NOT_SLOTTED = -1
BY_GROUP = 0
LIMITS_LAST = 1
BACKWARDS = 2
