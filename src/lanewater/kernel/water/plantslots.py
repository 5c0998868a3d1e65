"""Where each entry of `chemistry/plant.toml` stands in the flat tuple `p`."""

PLANT_OPEN_WATER = 0  # k600 in cm/h: calm, factor and power of the wind in m/s
PLANT_SCHMIDT = 3  # polynomial in degrees Celsius, lowest power first
PLANT_SCHMIDT_REFERENCE = 7
PLANT_AGEING_IONIC = 8
PLANT_AGEING_EYRING = 9  # 1/(s K), J/mol, J/(mol K), gas constant in J/(mol K)
PLANT_AGEING_LOSS = 13  # hypochlorite lost over what k2 counts: least, most
PLANT_VAPOUR = 15  # Pa, factor, deg C
PLANT_MOIST_AIR = 18  # pressure in Pa, gas constants of dry air and vapour in J/(kg K)
PLANT_QUIET_POOL = 21  # factor of the buoyant air, factor of the vapour pressure
PLANT_USED_POOL = 23  # without people, factor of the density, of people a m2, least people a m2
PLANT_STILL_AIR = 27  # kg/(m2 s Pa), and its share for a quiet and for a public pool
PLANT_TRANSFER = 30  # m/h: not in use; public in use, deep and shallow; depth in m between them
