"""Where each constant stands: in the flat tuple `k`, and in `c`, its values at one temperature.

`k` holds six numbers for each constant, in the order of `chemistry/constants.toml`. For an
equilibrium constant they are the coefficients of ln K = A + B T + C/T + D ln T + E/T^2 + F T^2
(T in kelvin); for the Debye-Hueckel slope those of a polynomial in degrees Celsius; a plain
number stands first of its six.
"""

COEFFICIENTS = 6

K_DEBYE_HUECKEL = 0
K_DAVIES = 6
K_DAVIES_LIMIT = 12
K_NEUTRAL = 18
K_OSMOTIC = 24
K_WATER = 30
K_CARBONIC_1 = 36
K_CARBONIC_2 = 42
K_CARBON_DIOXIDE = 48
K_CALCITE = 54
K_CALCIUM_BICARBONATE = 60
K_CALCIUM_CARBONATE = 66
K_SODIUM_BICARBONATE = 72
K_SODIUM_CARBONATE = 78
K_CALCIUM_SULFATE = 84
K_SODIUM_SULFATE = 90
K_MAGNESIUM_BICARBONATE = 96
K_MAGNESIUM_CARBONATE = 102
K_MAGNESIUM_SULFATE = 108
K_BISULFATE = 114
K_HYPOCHLOROUS = 120
K_BORIC = 126
K_CYANURIC_1 = 132
K_CYANURIC_2 = 138
K_CYANURIC_3 = 144
K_MONOCHLORINATED_9A = 150
K_MONOCHLORINATED_8 = 156
K_MONOCHLORINATED_4 = 162
K_DICHLORINATED_7A = 168
K_DICHLORINATED_2 = 174
K_TRICHLORINATED_1A = 180
K_AIR_CARBON_DIOXIDE = 186

# Groups of `c`.
C_ACTIVITY = 0
C_ACIDS = 1
C_CARBONATE = 2
C_PAIRS = 3
C_CYANURIC = 4
C_CHLORINATED = 5
C_SOLID = 6

# A reading, in the units that the keys of `calc water` end in.
R_PH = 0
R_TEMPERATURE = 1
R_ALKALINITY = 2
R_CALCIUM = 3
R_CYANURIC_ACID = 4
R_BORON = 5
R_SALT = 6
R_SULFATE = 7
R_FREE_CHLORINE = 8
R_MAGNESIUM = 9

# Totals, all in mol/L (alkalinity in eq/L).
T_ALKALINITY = 0
T_CARBON = 1
T_CALCIUM = 2
T_MAGNESIUM = 3
T_CYANURATE = 4
T_BORATE = 5
T_HYPOCHLORITE = 6
T_SODIUM = 7
T_CHLORIDE = 8
T_SULFATE = 9

# The solver's state: natural logarithms of two activities, ionic strength, activities, last move.
S_LN_PROTON = 0
S_LN_CHLORINE = 1
S_IONIC = 2
S_WATER = 3
S_CALCIUM = 4
S_MAGNESIUM = 5
S_SODIUM = 6
S_SULFATE = 7
S_CARBONATE = 8
S_MOVED = 9

# What a water is solved from, beside alkalinity.
FROM_PH = 0
FROM_CARBON = 1
FROM_AIR = 2

# What a solve ended with.
SOLVED = 0
INCONSISTENT = 1
NOT_CONVERGED = 2
# Test errors leave a figure no end.
NO_BAND = 3
