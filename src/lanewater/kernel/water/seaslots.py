"""Where sea water's constants stand in its flat tuple `s`, and its readings and figures."""

# In the order of `chemistry/sea.toml`; each name is the first of its numbers.
Z_CARBONIC_1 = 0
Z_CARBONIC_2 = 5
Z_BORIC = 10
Z_WATER = 22
Z_BISULFATE = 29
Z_HYDROFLUORIC = 40
Z_CALCITE = 43
Z_CARBON_DIOXIDE = 52
Z_FUGACITY = 59
Z_PH_NBS = 67
Z_IONIC = 71
Z_KG_SOLUTION = 74
Z_BORATE = 75
Z_SULFATE = 76
Z_FLUORIDE = 77
Z_CALCIUM = 78
Z_MAGNESIUM = 79
Z_DENSITY = 80
# Further on in the longest two: what goes with ln T and T, and with powers of the salinity.
Z_BORIC_WARM = 18
Z_DENSITY_SALT = 86
Z_DENSITY_ROOT = 91
Z_DENSITY_SQUARE = 94

# Constants at one temperature and salinity; mol/kg of sea water, total scale but for the free
# scale's two.
SC_CARBONIC_1 = 0
SC_CARBONIC_2 = 1
SC_BORIC = 2
SC_WATER = 3
SC_BISULFATE = 4
SC_HYDROFLUORIC = 5
SC_CALCITE = 6
SC_CARBON_DIOXIDE = 7
SC_FUGACITY = 8
SC_TOTAL_PER_NBS = 9
SC_FREE_PER_TOTAL = 10

# What sea salt holds, in mol/kg of sea water.
SS_BORATE = 0
SS_SULFATE = 1
SS_FLUORIDE = 2
SS_CALCIUM = 3
SS_MAGNESIUM = 4

# A reading of sea water.
SR_PH = 0
SR_TEMPERATURE = 1
SR_ALKALINITY = 2
SR_SALINITY = 3

# Figures, in mol/kg of sea water where no other unit stands.
SF_PH_TOTAL = 0
SF_CARBON = 1
SF_CARBON_DIOXIDE = 2
SF_BICARBONATE = 3
SF_CARBONATE = 4
SF_CARBONATE_ALKALINITY = 5
SF_BORATE_ALKALINITY = 6
SF_WATER_ALKALINITY = 7
SF_SATURATION_INDEX = 8
SF_PRESSURE = 9  # atm
SF_CALCIUM = 10
SF_MAGNESIUM = 11
SF_IONIC = 12
SF_DENSITY = 13  # kg/L
