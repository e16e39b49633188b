"""Saturated steam and the air outside.

IAPWS R7-97(2012), region 4, both ways, and the ISA pressure of an altitude. Written here a second time, apart from
importer/physics, so that the invented curves do not lean on the program that will judge them.
"""

N = (None, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
     -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
     -0.23855557567849, 0.65017534844798e3)


def saturation_kpa(celsius):
    """Pressure of saturated steam in kPa absolute."""
    kelvin = celsius + 273.15
    theta = kelvin + N[9] / (kelvin - N[10])
    a = theta * theta + N[1] * theta + N[2]
    b = N[3] * theta * theta + N[4] * theta + N[5]
    c = N[6] * theta * theta + N[7] * theta + N[8]
    return 1000 * (2 * c / (-b + (b * b - 4 * a * c) ** 0.5)) ** 4


def saturation_c(kpa_abs):
    """Temperature of saturated steam in degrees Celsius."""
    beta = (kpa_abs / 1000) ** 0.25
    e = beta * beta + N[3] * beta + N[6]
    f = N[1] * beta * beta + N[4] * beta + N[7]
    g = N[2] * beta * beta + N[5] * beta + N[8]
    d = 2 * g / (-f - (f * f - 4 * e * g) ** 0.5)
    return (N[10] + d - ((N[10] + d) ** 2 - 4 * (N[9] + N[10] * d)) ** 0.5) / 2 - 273.15


def ambient_kpa(altitude_m):
    """ISA pressure in kPa: 101.325 kPa and 288.15 K at sea level, 6.5 K less a kilometre."""
    return 101.325 * (1 - 0.0065 * altitude_m / 288.15) ** 5.25588
