"""Film thickness and rolling resistance of lubricated line contacts, in dimensionless groups.

U = eta_0 u/(E' R), G = alpha E', W = Q/(E' R L), H = h/R with the entrainment u, the reduced radius
R, and E' = 2/((1 - nu1^2)/E1 + (1 - nu2^2)/E2), for like materials E/(1 - nu^2): twice the reduced
modulus of the contact stiffness.
"""

import math
from dataclasses import dataclass

from rollsim.kernels.ehl import ROLLING_LOAD, ROLLING_SPEED


@dataclass(frozen=True)
class FilmLaw:
    """H = factor U^speed G^material W^load, with the ranges of U, G and W that it was fitted to."""

    name: str
    factor: float
    speed: float
    material: float
    load: float
    ranges: tuple = ()

    def thickness(self, groups):
        """Film thickness over reduced radius.

        Parameters
        ----------
        groups : FilmGroups
            The dimensionless groups.

        Returns
        -------
        float
            H.
        """
        return (
            self.factor
            * groups.speed**self.speed
            * groups.material**self.material
            * groups.load**self.load
        )


#: Least film of a line contact: D. Dowson, Elastohydrodynamics, Proc. IMechE 182 (1968); D. Dowson
#: & G. R. Higginson, Elasto-hydrodynamic Lubrication (1966). Ranges approximate, from memory.
DOWSON_HIGGINSON = FilmLaw(
    "dowson_higginson", 2.65, 0.70, 0.54, -0.13,
    ((1e-13, 1e-9), (1000.0, 15000.0), (1e-5, 5e-4)),
)  # fmt: skip
#: Central and least film of a line contact: P. Pan & B. J. Hamrock, Simple formulas for performance
#: parameters used in elastohydrodynamically lubricated line contacts, J. Tribology 111 (1989).
#: Ranges approximate, from memory.
PAN_HAMROCK = FilmLaw(
    "pan_hamrock", 2.922, 0.692, 0.470, -0.166,
    ((1e-13, 1e-10), (1000.0, 15000.0), (2e-5, 5e-4)),
)  # fmt: skip
PAN_HAMROCK_LEAST = FilmLaw("pan_hamrock, least", 1.714, 0.694, 0.568, -0.128, PAN_HAMROCK.ranges)
FILM_LAWS = {law.name: law for law in (DOWSON_HIGGINSON, PAN_HAMROCK)}

#: Constant of the rolling resistance, Zhou & Hoeprich 1991 (value from memory).
ROLLING_FACTOR = 29.2


@dataclass(frozen=True)
class FilmGroups:
    """Speed parameter U, material parameter G, load parameter W of a line contact."""

    speed: float
    material: float
    load: float


@dataclass(frozen=True)
class LubricatedContact:
    """A line contact and its oil.

    radius: reduced radius R, m; length: L, m; modulus: E', Pa; viscosity: eta_0, Pa s; piezo:
    alpha, 1/Pa.
    """

    radius: float
    length: float
    modulus: float
    viscosity: float
    piezo: float

    def groups(self, entrainment, load):
        """Dimensionless groups at a speed and a load.

        Parameters
        ----------
        entrainment : float, m/s
            Mean surface speed u.
        load : float, N
            Load Q.

        Returns
        -------
        FilmGroups
            U, G and W.

        Examples
        --------
        Roller bearing example of Hamrock & Dowson 1981 (from memory): U = 6.895e-11, G = 5016.

        >>> contact = LubricatedContact(6.4e-3, 16e-3, 2.28e11, 0.01, 2.2e-8)
        >>> found = contact.groups(10.061, 4800.0)
        >>> f"{found.speed:.3e} {found.material:.0f} {found.load:.3e}"
        '6.895e-11 5016 2.056e-04'
        """
        scale = self.modulus * self.radius
        return FilmGroups(
            self.viscosity * entrainment / scale,
            self.piezo * self.modulus,
            load / (scale * self.length),
        )

    def mean_pressure(self, load):
        """Mean Hertz pressure, p = pi/4 p0 = sqrt(pi E' Q/(32 R L)).

        Source: Johnson 1985, eq. 4.45 with E' = 2 E*.

        Parameters
        ----------
        load : float, N
            Load Q.

        Returns
        -------
        float, Pa
            The pressure.
        """
        return math.sqrt(math.pi * self.modulus * load / (32.0 * self.radius * self.length))

    def rolling_force(self, entrainment, load):
        """Rolling resistance of each surface, F = 29.2 (R L/alpha) (G U)^0.648 W^0.246.

        Source: R. S. Zhou & M. R. Hoeprich, Torque of tapered roller bearings, J. Tribology 113
        (1991) (value from memory).

        Parameters
        ----------
        entrainment : float, m/s
            Mean surface speed u.
        load : float, N
            Load Q.

        Returns
        -------
        float, N
            F.

        Examples
        --------
        >>> contact = LubricatedContact(6.4e-3, 16e-3, 2.28e11, 0.01, 2.2e-8)
        >>> round(contact.rolling_force(10.061, 4800.0), 2)
        1.1
        """
        groups = self.groups(entrainment, load)
        inlet = (groups.material * groups.speed) ** ROLLING_SPEED
        size = self.radius * self.length / self.piezo
        return ROLLING_FACTOR * size * inlet * groups.load**ROLLING_LOAD


def kernel_film(contact, law, factor, oil):
    """Constants of a lubricated contact as the kernels take them.

    Parameters
    ----------
    contact : LubricatedContact
        The contact.
    law : FilmLaw
        Formula of the film.
    factor : float
        Starvation and heating: film over the film of the formula.
    oil : OilFilm
        Roughness, limiting shear stress, floor of the slip scale; `rolling` is 1 with and 0
        without rolling resistance.

    Returns
    -------
    OilFilm
        h = C u^a Q^-b and its companions, with a speed of 1 m/s and a load of 1 N in C.
    """
    unit = contact.groups(1.0, 1.0)
    return oil._replace(
        film=math.log(factor * contact.radius * law.thickness(unit)),
        film_speed=law.speed,
        film_load=law.load,
        pressure=contact.mean_pressure(1.0),
        viscosity=contact.viscosity,
        piezo=contact.piezo,
        rolling=oil.rolling * contact.rolling_force(1.0, 1.0),
        radius=contact.radius,
    )
