"""Where each number of `chemistry/chloramine.toml` stands in `q`, and what a course is made of."""

# Of k = A exp(-B/T): A and B (T in kelvin); a plain rate has only A.
Q_MONO_FORMS = 0
Q_MONO_PARTS = 2
Q_DI_FORMS = 4
Q_DI_PARTS = 6
Q_MONO_TO_DI_PROTON = 7
Q_MONO_TO_DI_BICARBONATE = 9
Q_MONO_TO_DI_CARBONIC = 11
Q_DI_TO_MONO = 13
Q_DI_DECAYS = 14
Q_MIDDLE_AND_DI = 15
Q_MIDDLE_AND_MONO = 16
Q_MONO_AND_DI = 17
Q_TRI_FORMS_HYDROXIDE = 18
Q_TRI_FORMS_CARBONATE = 19
Q_TRI_FORMS_HYPOCHLORITE = 20
Q_DI_AND_TRI = 21
Q_MONO_AND_TRI = 22
Q_NITRATE_FORMS = 23
Q_UREA = 24
Q_UREA_CHLORINE = 25
# Of pK = A T^2 + B T + C.
Q_HYPOCHLOROUS = 26
Q_AMMONIUM = 29
Q_CARBONIC_1 = 32
Q_CARBONIC_2 = 35
Q_WATER = 38
# The method's own numbers, and how closely it is followed.
Q_STAGES = 41
Q_COUPLINGS = 51
Q_GAMMA = 66
Q_TOLERANCES = 67
Q_STEPS = 70

# What is in the water, in mol/L: free chlorine (bound to cyanurate or not), ammonia with
# ammonium, mono-, di-, trichloramine, the middle product of dichloramine, urea; then what has gone:
# nitrogen to nitrogen gas and nitrate, chlorine to chloride, trichloramine to the air.
Y_FREE = 0
Y_AMMONIA = 1
Y_MONO = 2
Y_DI = 3
Y_TRI = 4
Y_MIDDLE = 5
Y_UREA = 6
Y_NITROGEN_GONE = 7
Y_CHLORINE_GONE = 8
Y_TO_AIR = 9
REACTING = 7
HELD = 10

# What a course is told for besides the water's readings, in mg/L: ammonia as N, chloramines as
# Cl2, urea as CO(NH2)2; and the share of trichloramine that the air takes an hour.
I_AMMONIA = 0
I_MONO = 1
I_DI = 2
I_TRI = 3
I_UREA = 4
I_TO_AIR = 5

# A row of a course: minutes, then mg/L: chlorine and chloramines as Cl2, nitrogen as N, urea.
COURSE_WIDTH = 12
G_MINUTE = 0
G_FREE = 1
G_MONO = 2
G_DI = 3
G_TRI = 4
G_TOTAL = 5
G_AMMONIA = 6
G_UREA = 7
G_UNBOUND = 8
G_NITROGEN_GONE = 9
G_CHLORINE_GONE = 10
G_TO_AIR = 11

# What a course ended with, beside SOLVED, INCONSISTENT and NOT_CONVERGED of the water.
TOO_MANY_STEPS = 4
NOT_BALANCED = 5
